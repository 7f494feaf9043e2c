//! A whole record followed from its first event: the chain, and the seals that stand over it.

use crate::chain::{Break, Broken, Hash, Link, Stored, Verifier, hex};
use crate::seal::Seal;

/// Follows a chain and its seals.
#[derive(Debug, Clone)]
pub struct Follow {
    chain: Verifier,
    /// Seals still to come, the next one last.
    due: Vec<Seal>,
    held: Vec<Seal>,
    key: Option<String>,
}

impl Follow {
    /// Begins; with `key` (lower case hex), seals of any other key do not hold.
    pub fn new(mut seals: Vec<Seal>, key: Option<&str>) -> Self {
        seals.sort_by_key(|seal| std::cmp::Reverse(seal.seq));
        Self { chain: Verifier::default(), due: seals, held: Vec::new(), key: key.map(str::to_owned) }
    }

    /// The place and hash of the last link that held.
    pub fn head(&self) -> (u64, Hash) {
        self.chain.head()
    }

    /// The seals that held so far.
    pub fn held(&self) -> Vec<Seal> {
        self.held.clone()
    }

    /// Takes the next link, and the seals over it.
    ///
    /// # Errors
    /// [`Broken`], if the link or a seal of it does not hold.
    pub fn take(&mut self, link: &Link) -> Result<Stored, Broken> {
        let stored = self.chain.take(link)?;
        while let Some(seal) = self.due.pop_if(|seal| seal.seq <= stored.seq) {
            self.check(&seal, &stored).map_err(|why| Broken { seq: seal.seq, how: Break::Seal(why) })?;
            self.held.push(seal);
        }
        Ok(stored)
    }

    fn check(&self, seal: &Seal, stored: &Stored) -> Result<(), String> {
        if self.key.as_ref().is_some_and(|key| *key != seal.key) {
            return Err(format!("it is of another key, {}", seal.key));
        }
        if seal.seq != stored.seq || seal.hash != hex(&stored.hash) {
            return Err("the event that was sealed had another hash".to_owned());
        }
        seal.verify()
    }

    /// Ends after the last link.
    ///
    /// # Errors
    /// [`Broken`], if a seal covers events that are not there: the end of the record was cut off.
    pub fn end(&self) -> Result<(), Broken> {
        match self.due.last() {
            // An empty log may be sealed; there is nothing to hold against it.
            Some(seal) if seal.seq > 0 => {
                let (last, _) = self.chain.head();
                Err(Broken { seq: last + 1, how: Break::Cut(seal.seq) })
            }
            _ => Ok(()),
        }
    }
}
