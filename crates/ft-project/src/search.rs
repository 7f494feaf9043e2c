//! Search for a schedule that ends early, for plain projects.

use crate::hunt::Hunt;
use crate::{Project, Starts, lists, two};

/// What a search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Search {
    /// Begin of each activity.
    pub starts: Starts,
    /// When the last ends.
    pub ends_at: u32,
    /// Schedules generated, forward or backward, passes of justification included.
    pub schedules: u64,
}

/// Up to so many schedules for each activity go to two populations, more to justified lists: on the public sets the
/// former are ahead at 1,000 schedules, and at 5,000 for 60 activities, the latter at 5,000 for 30 and at 50,000.
const FEW: u64 = 100;

/// Searches until `schedules` are generated, `floor` is reached, or `stop` says so. The project must be plain.
pub fn search(project: &Project, schedules: u64, floor: u32, seed: u64, stop: &dyn Fn() -> bool) -> Search {
    assert!(project.is_plain(), "the serial scheme knows no greatest lags");
    let mut hunt = Hunt::new(schedules, floor, seed, stop);
    if schedules <= FEW * project.lengths.len() as u64 {
        two::run(project, schedules, &mut hunt);
    } else {
        lists::run(project, schedules, &mut hunt);
    }
    hunt.told()
}
