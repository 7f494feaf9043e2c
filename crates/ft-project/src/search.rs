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

/// Up to so many schedules go to two populations, more to justified lists: the former are ahead at 1,000 and 5,000
/// schedules on the public set of 60 activities, the latter at 50,000.
const FEW: u64 = 5000;

/// Searches until `schedules` are generated, `floor` is reached, or `stop` says so. The project must be plain.
pub fn search(project: &Project, schedules: u64, floor: u32, seed: u64, stop: &dyn Fn() -> bool) -> Search {
    assert!(project.is_plain(), "the serial scheme knows no greatest lags");
    let mut hunt = Hunt::new(schedules, floor, seed, stop);
    if schedules <= FEW {
        two::run(project, schedules, &mut hunt);
    } else {
        lists::run(project, schedules, &mut hunt);
    }
    hunt.told()
}
