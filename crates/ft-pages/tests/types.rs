//! The browser's modules say in comments what their values are, and TypeScript's checker holds them to it.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Where `./check` puts what npm installs for tests.
fn checker() -> Option<PathBuf> {
    let cache = std::env::var_os("FULLTRAY_CACHE")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| Path::new(&home).join(".cache/fulltray")))?;
    let tsc = cache.join("npm/node_modules/typescript/bin/tsc");
    tsc.exists().then_some(tsc)
}

#[test]
fn modules_keep_their_types() {
    let Some(tsc) = checker() else {
        println!(
            "SKIPPED: there is no TypeScript in the cache folder; `./check` installs it where there is npm"
        );
        return;
    };
    let client = Path::new(env!("CARGO_MANIFEST_DIR")).join("client");
    let output = match Command::new("node").arg(&tsc).arg("-p").arg(&client).output() {
        Ok(output) => output,
        Err(error) => return println!("SKIPPED: node does not run: {error}"),
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
}
