//! What the browser is given besides pages, embedded in the program.

/// What a page may load and run: only what comes from the site itself, and nothing that stands in the page.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; \
     connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; \
     frame-ancestors 'none'";

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Path, media type and bytes of everything embedded, by path.
pub const ASSETS: &[(&str, &str, &[u8])] = &[
    ("/assets/app.webmanifest", "application/manifest+json", include_bytes!("../client/app.webmanifest")),
    ("/assets/fulltray.css", "text/css; charset=utf-8", include_bytes!("../client/fulltray.css")),
    ("/assets/icon.svg", "image/svg+xml", include_bytes!("../client/icon.svg")),
    ("/assets/shell.js", SCRIPT, include_bytes!("../client/shell.js")),
    ("/sw.js", SCRIPT, include_bytes!("../client/sw.js")),
];

/// What lies at a path, with its media type; words of the browser's language at `/assets/words-CODE.json`.
pub fn asset(path: &str) -> Option<(&'static str, &'static [u8])> {
    if let Some(words) = crate::words::asset(path) {
        return Some(("application/json", words));
    }
    let found = ASSETS.binary_search_by(|(known, ..)| known.cmp(&path)).ok()?;
    Some((ASSETS[found].1, ASSETS[found].2))
}
