//! The planner's own thread: it plans the rest of the night anew whenever somebody asks, and nobody waits for it.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Weak};

use crate::site::Site;

/// Asks for the rest of the night to be planned anew. Asked again before it has begun, it is done once.
pub struct Ask(SyncSender<()>);

/// The other end of it.
pub struct Asked(Receiver<()>);

/// Both ends.
pub fn ask() -> (Ask, Asked) {
    let (ask, asked) = sync_channel(1);
    (Ask(ask), Asked(asked))
}

impl Ask {
    /// Asks, and goes on at once.
    pub fn ask(&self) {
        // Full: somebody has asked, and it has not begun yet. Gone: the site ends.
        let _ = self.0.try_send(());
    }
}

/// Starts the thread; it ends with the site.
pub fn start(site: &Arc<Site>, asked: Asked) {
    let site: Weak<Site> = Arc::downgrade(site);
    std::thread::spawn(move || {
        while asked.0.recv().is_ok() {
            let Some(site) = site.upgrade() else { return };
            site.plan_again();
        }
    });
}
