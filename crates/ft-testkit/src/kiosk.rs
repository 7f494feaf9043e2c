//! Procedures
