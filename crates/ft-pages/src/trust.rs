//! The site's certificate: why a tablet should trust it, and how.

use maud::{PreEscaped, html};

use crate::shell::{Shell, document};

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrustView {
    /// Whether the page itself came over a connection that the browser trusts.
    pub is_secure: bool,
    /// The address to open afterwards, such as `https://kiosk.local:8443/`.
    pub address: Option<String>,
    /// That address as a QR code, SVG of our own making.
    pub code: Option<String>,
    /// SHA-256 of the certificate, in groups, to compare by eye.
    pub fingerprint: Option<String>,
    /// Where the certificate can be had.
    pub certificate: Option<String>,
}

/// The page that helps a tablet to trust the site.
pub fn trust(shell: &Shell, view: &TrustView) -> String {
    let main = html! {
        h1 { (shell.say("page.trust")) }
        @if view.is_secure { p .good { "✓ " (shell.say("trust.secure")) } }
        @else { p .caution { (shell.say("trust.plain")) } }
        ul #abilities .sentences {}
        @if let Some(certificate) = &view.certificate {
            h2 { (shell.say("trust.how")) }
            ol .sentences {
                li { a .act href=(certificate) download="fulltray-ca.crt" { (shell.say("trust.get")) } }
                li { (shell.say("trust.install")) }
                @if let Some(fingerprint) = &view.fingerprint {
                    li { (shell.say("trust.compare")) " " code .hash { (fingerprint) } }
                }
                @if let Some(address) = &view.address {
                    li { (shell.say("trust.open")) " " a href=(address) { (address) } }
                }
            }
        } @else {
            p { (shell.say("trust.none")) }
        }
        @if let Some(code) = &view.code { div .code role="img" aria-label=(view.address.as_deref().unwrap_or("")) { (PreEscaped(code)) } }
    };
    document(shell, shell.say("page.trust"), &main)
}
