//! The referee of proofs.
