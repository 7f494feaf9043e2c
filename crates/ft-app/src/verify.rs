//! `verify`: whether a certificate proves a form, found out without the prover.

use ft_form::certificate::Certificate;
use serde::Serialize;

use crate::source::Prepared;

/// The answer for one form.
#[derive(Debug, Clone, Serialize)]
pub struct VerifyView {
    /// Which procedure and variant it is; empty for a core form file.
    #[serde(rename = "x-title")]
    pub title: String,
    /// Whether the certificate proves it.
    pub holds: bool,
    /// Why it does not; empty where it does.
    pub because: String,
    /// How many claims were confirmed.
    pub claims: usize,
    /// How many states were looked at for that.
    pub states: u64,
}

/// Judges a certificate against a form.
pub fn verify(prepared: &Prepared, certificate: &Certificate) -> VerifyView {
    let title = prepared.title.clone();
    match ft_verify::verify(&prepared.form, certificate) {
        Ok(verified) => VerifyView {
            title,
            holds: true,
            because: String::new(),
            claims: verified.claims,
            states: verified.states,
        },
        Err(because) => VerifyView { title, holds: false, because, claims: 0, states: 0 },
    }
}
