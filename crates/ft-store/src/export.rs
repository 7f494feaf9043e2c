//! The whole record as text that carries its own proof: what `fulltray record verify` reads, and a link's reader takes
//! along.

use ft_record::{event_line, first_line, seal_line};

use crate::Store;
use crate::error::StoreError;

/// Links that are held at a time.
const STRIDE: usize = 1000;

impl Store {
    /// Says the exported record line by line, each with its end: first the site's key, then every event and, behind the
    /// event that it reaches to, each seal. Gives how many events there were. Cost: a thousand events are held at most.
    ///
    /// # Errors
    /// That of the store, or what `say` answers; it ends there.
    pub fn export<E: From<StoreError>>(
        &self,
        mut say: impl FnMut(String) -> Result<(), E>,
    ) -> Result<u64, E> {
        // Seals first, so that none speaks of an event that came after.
        let seals = self.seals()?;
        say(first_line(&self.public_key()?))?;
        let mut at = 0;
        loop {
            let links = self.links(at, STRIDE)?;
            let Some(last) = links.last() else { return Ok(at) };
            at = last.seq;
            for link in &links {
                say(event_line(link))?;
                for seal in seals.iter().filter(|seal| seal.seq == link.seq) {
                    say(seal_line(seal))?;
                }
            }
        }
    }
}
