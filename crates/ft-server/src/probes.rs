//! Probes, live: a broker and a folder are listened to, what they say is followed by `ft-probe`, and what comes out goes
//! into the record and to everybody who looks.
//!
//! One thread follows all probes, so that everything happens in one order; the broker's task and the folder's thread
//! hand it what came. No lock is held while something is written to the record.

mod broker;
mod folder;
mod places;
mod state;
mod told;
mod words;
mod worker;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{SyncSender, sync_channel};

use ft_probe::{Arrival, ReadMapping, Source};

use crate::site::Site;

pub use places::places;
pub use state::{InRecord, Link, Probes};
pub use told::{cards, json};
pub use words::value;

/// What the site is told of its probes.
#[derive(Debug, Clone, PartialEq)]
pub struct ProbesConfig {
    /// What the file says; without problems.
    pub read: ReadMapping,
    /// The folder from which the mapping names others.
    pub beside: PathBuf,
    /// The broker's password, where there is one.
    pub password: Option<String>,
}

/// Something for the thread that follows the probes.
pub enum Input {
    /// A message came for a probe, by its place in the mapping.
    Message {
        /// The probe.
        probe: usize,
        /// What it says.
        payload: Vec<u8>,
        /// Whether the broker had kept it from before.
        is_retained: bool,
    },
    /// Rows came out of a file of a probe.
    Rows(usize, Vec<Arrival>),
    /// How many files of a probe there are.
    Files(usize, usize),
    /// The broker came or went.
    Link(Link),
    /// The folder cannot be looked into; `None`: it can again.
    Folder(Option<String>),
    /// The program ends.
    End,
}

/// As much may wait for the thread; beyond, messages are counted and left out.
const WAITING: usize = 4096;

/// What runs beside the site, to be ended with it.
pub struct Following {
    tell: SyncSender<Input>,
    worker: std::thread::JoinHandle<()>,
}

impl Following {
    /// Begins to follow the site's probes; `None` where it has none. Must be called within a runtime.
    pub fn begin(site: &Arc<Site>) -> Option<Self> {
        let config = site.config.probes.as_ref()?;
        let mapping = &config.read.mapping;
        let (tell, inputs) = sync_channel(WAITING);
        let worker = {
            let site = Arc::clone(site);
            std::thread::spawn(move || worker::follow(&site, &inputs))
        };
        let has = |wanted: fn(&Source) -> bool| mapping.probes.iter().any(|probe| wanted(&probe.source));
        if let (Some(broker), true) = (&mapping.broker, has(|source| matches!(source, Source::Topic { .. })))
        {
            let listening =
                broker::listen(Arc::clone(site), broker.clone(), config.password.clone(), tell.clone());
            tokio::spawn(listening);
        }
        if let (Some(folder), true) = (&mapping.folder, has(|source| matches!(source, Source::File(_)))) {
            let (at, look_s, tell) = (config.beside.join(&folder.path), folder.look_s, tell.clone());
            let probes = mapping.probes.clone();
            std::thread::spawn(move || folder::look(&at, look_s, &probes, &tell));
        }
        Some(Self { tell, worker })
    }

    /// Ends it: what was counted so far is in the record when this returns.
    pub fn end(self) {
        // A worker that is gone has nothing left to write.
        let _ = self.tell.send(Input::End);
        let _ = self.worker.join();
    }
}
