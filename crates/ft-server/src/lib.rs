//! The running site.
