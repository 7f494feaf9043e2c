//! Lengths of steps that were learnt from the record, as far as plans may use them.

use std::sync::{Arc, PoisonError};

use ft_odds::lengths::Run as TimedRun;
use ft_store::{Store, StoreError};

use super::night::{Kept, planned, taken_up};
use super::{News, NoSite, Site, sha256, stream};
use crate::problem::Problem;

impl Site {
    /// How long steps took whom, as far as that may be used for planning.
    ///
    /// # Errors
    /// [`Problem`] of the store.
    pub fn timed(&self) -> Result<Vec<TimedRun>, Problem> {
        if are_lengths_used(&self.store)? { Ok(self.desk()?.lengths.runs()) } else { Ok(Vec::new()) }
    }

    /// Plans anew with the lengths that may be used now: after an erasure, or when the setting was changed, nothing of
    /// what was learnt before stays in a plan.
    ///
    /// # Errors
    /// [`Problem`]: there is no plan any more.
    pub fn plan_anew(&self) -> Result<(), Problem> {
        let timed = self.timed()?;
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        let (id, procedure) = {
            let current = self.current();
            if current.is_signed() || current.timed == basis(&timed) {
                return Ok(());
            }
            (current.id.clone(), current.procedure.clone())
        };
        let night = match &id {
            Some(id) => taken_up(&self.store, id, &self.config, &*self.read, &timed),
            None => planned(&self.config, &*self.read, &procedure, None, &timed),
        };
        let mut night = night.map_err(NoSite::problem)?;
        let told = {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            if current.id != id || current.is_signed() {
                return Ok(());
            }
            // What happened while it was planned.
            night.take(std::mem::take(&mut current.events));
            *current = night;
            current.sheets.iter().map(|(code, sheet)| (*code, stream::plan(sheet))).collect()
        };
        if let Some(id) = id
            && let Some(text) = self.store.get("night", &id)?
            && let Ok(kept) = serde_json::from_str::<Kept>(&text)
        {
            // Nor does it come back with a restart.
            let kept = Kept { plan: self.current().plan.clone(), ..kept };
            self.store.put("night", &id, &serde_json::to_string(&kept).expect("a plan is JSON"))?;
        }
        // Nobody listening is no error.
        let _ = self.news.send(News::Plan(Arc::new(told)));
        Ok(())
    }
}

/// Whether lengths of steps are used for planning: yes, until a lead says no.
///
/// # Errors
/// [`StoreError`].
pub fn are_lengths_used(store: &Store) -> Result<bool, StoreError> {
    Ok(store.get("settings", "lengths")?.as_deref() != Some("no"))
}

/// What tells apart the lengths that two plans were made with.
pub fn basis(timed: &[TimedRun]) -> String {
    sha256(&format!("{timed:?}"))
}
