//! Real browsers against the real program; tests only, nothing builds on it.
//!
//! [`Driver`] speaks `WebDriver` to Debian's `chromedriver`, [`Site`] starts the program on a kitchen of its own, [`Caller`]
//! speaks to it without a browser, [`Wire`] is the cable between the two, which can be cut, and [`Broker`] is Debian's `mosquitto`. What is not installed makes a test say SKIPPED.

mod broker;
mod caller;
mod driver;
mod site;
mod small;
mod wire;

pub use broker::Broker;
pub use caller::{Caller, Refusal};
pub use driver::{Driver, Session, Size};
pub use site::{PIN, Site};
pub use wire::Wire;

use std::path::PathBuf;

/// Where pictures of pages are kept: build artefacts, made anew by each run.
pub fn pictures() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from);
    let folder = target.join("screens");
    std::fs::create_dir_all(&folder).expect("a folder for pictures");
    folder
}

/// The repository.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A module that npm installed for tests into the cache folder, by its path there; `None` where it is absent.
pub fn npm(path: &str) -> Option<String> {
    let cache = std::env::var_os("FULLTRAY_CACHE")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cache/fulltray")))?;
    std::fs::read_to_string(cache.join("npm/node_modules").join(path)).ok()
}
