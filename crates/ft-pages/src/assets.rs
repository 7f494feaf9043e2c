//! What the browser is given besides pages, embedded in the program.

/// What a page may load and run: only what comes from the site itself, and nothing that stands in the page.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; \
     connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; \
     frame-ancestors 'none'";

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Path, media type and bytes of everything embedded, by path.
pub const ASSETS: &[(&str, &str, &[u8])] = &[
    ("/assets/api.js", SCRIPT, include_bytes!("../client/api.js")),
    ("/assets/app.webmanifest", "application/manifest+json", include_bytes!("../client/app.webmanifest")),
    ("/assets/differ.js", SCRIPT, include_bytes!("../client/differ.js")),
    ("/assets/dom.js", SCRIPT, include_bytes!("../client/dom.js")),
    ("/assets/file.js", SCRIPT, include_bytes!("../client/file.js")),
    ("/assets/fold.js", SCRIPT, include_bytes!("../client/fold.js")),
    ("/assets/form.js", SCRIPT, include_bytes!("../client/form.js")),
    ("/assets/fulltray.css", "text/css; charset=utf-8", include_bytes!("../client/fulltray.css")),
    ("/assets/icon.svg", "image/svg+xml", include_bytes!("../client/icon.svg")),
    ("/assets/ids.js", SCRIPT, include_bytes!("../client/ids.js")),
    ("/assets/live.js", SCRIPT, include_bytes!("../client/live.js")),
    ("/assets/machine.js", SCRIPT, include_bytes!("../client/machine.js")),
    ("/assets/mine.js", SCRIPT, include_bytes!("../client/mine.js")),
    ("/assets/practice.js", SCRIPT, include_bytes!("../client/practice.js")),
    ("/assets/practise.js", SCRIPT, include_bytes!("../client/practise.js")),
    ("/assets/probes.js", SCRIPT, include_bytes!("../client/probes.js")),
    ("/assets/product.js", SCRIPT, include_bytes!("../client/product.js")),
    ("/assets/queue.js", SCRIPT, include_bytes!("../client/queue.js")),
    ("/assets/readings.js", SCRIPT, include_bytes!("../client/readings.js")),
    ("/assets/run.js", SCRIPT, include_bytes!("../client/run.js")),
    ("/assets/send.js", SCRIPT, include_bytes!("../client/send.js")),
    ("/assets/shell.js", SCRIPT, include_bytes!("../client/shell.js")),
    ("/assets/sign-in.js", SCRIPT, include_bytes!("../client/sign-in.js")),
    ("/assets/step.js", SCRIPT, include_bytes!("../client/step.js")),
    ("/assets/tell.js", SCRIPT, include_bytes!("../client/tell.js")),
    ("/assets/tick.js", SCRIPT, include_bytes!("../client/tick.js")),
    ("/assets/timers.js", SCRIPT, include_bytes!("../client/timers.js")),
    ("/assets/tonight.js", SCRIPT, include_bytes!("../client/tonight.js")),
    ("/assets/tray.js", SCRIPT, include_bytes!("../client/tray.js")),
    ("/assets/trust.js", SCRIPT, include_bytes!("../client/trust.js")),
    ("/assets/why.js", SCRIPT, include_bytes!("../client/why.js")),
    ("/assets/words.js", SCRIPT, include_bytes!("../client/words.js")),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn found_by_search() {
        assert!(ASSETS.windows(2).all(|pair| pair[0].0 < pair[1].0), "the list is in order of its paths");
        for (path, media, bytes) in ASSETS {
            assert_eq!(asset(path), Some((*media, *bytes)));
        }
        assert!(asset("/assets/words-es.json").is_some());
        assert!(asset("/assets/../Cargo.toml").is_none());
    }

    /// What a page needs without network is all that there is, and every module is the program's.
    #[test]
    fn the_service_worker_keeps_all_of_it() {
        let worker = include_str!("../client/sw.js");
        let all = ASSETS.iter().map(|row| row.0).filter(|path| path.starts_with("/assets/"));
        for path in all.chain(["/assets/words-en.json", "/assets/words-es.json"]) {
            assert!(worker.contains(&format!("\"{path}\"")), "{path} is kept");
        }
        let listed = worker.matches("\"/assets/").count();
        assert_eq!(listed, ASSETS.len() - 1 + 2, "and nothing else is asked for");
    }
}
