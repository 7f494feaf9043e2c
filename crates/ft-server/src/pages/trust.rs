//! The certificate, and how a tablet comes to trust it.

use axum::response::Response;
use ft_pages::{Page, TrustView};

use super::Visit;

/// The certificate.
pub async fn trust(visit: Visit) -> Response {
    visit
        .page(Page::Trust, |at| {
            let site = at.site;
            let port = site.config.listen.port();
            let address = site.trust.as_ref().map(|trust| format!("https://{}:{port}/", trust.name));
            let view = TrustView {
                is_secure: at.who.is_secure,
                code: address.as_deref().and_then(qr),
                address,
                fingerprint: site.trust.as_ref().map(|trust| trust.fingerprint.clone()),
                certificate: site.trust.as_ref().map(|_| "/trust/ca.crt".to_owned()),
            };
            Ok(ft_pages::trust(&at.shell, &view))
        })
        .await
}

/// An address as a QR code: one path, dark on light, with the quiet zone that the standard asks for (ISO/IEC 18004:
/// four modules).
fn qr(address: &str) -> Option<String> {
    let code = fast_qr::QRBuilder::new(address).build().ok()?;
    let (size, quiet) = (code.size, 4);
    let mut path = String::new();
    for row in 0..size {
        for column in 0..size {
            if code[row][column].value() {
                path.push_str(&format!("M{} {}h1v1h-1z", column + quiet, row + quiet));
            }
        }
    }
    let whole = size + 2 * quiet;
    Some(format!(
        "<svg viewBox=\"0 0 {whole} {whole}\" width=\"240\" height=\"240\"><path fill=\"#fff\" d=\"M0 0h{whole}v{whole}H0z\"/>\
         <path fill=\"#000\" d=\"{path}\"/></svg>"
    ))
}
