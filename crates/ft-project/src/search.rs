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

/// Whether two populations are ahead of justified lists: on the public sets they are at 1,000 schedules, at 5,000 from 60
/// activities on and at 50,000 for 120; and where time alone sets the limit, from 120 activities on.
fn suits_two_populations(activities: usize, schedules: u64) -> bool {
    let count = activities as u64;
    if schedules == u64::MAX {
        count > 70
    } else {
        schedules <= (100 * count).max(count.saturating_pow(3) / 10)
    }
}

/// Searches until `schedules` are generated, `floor` is reached, or `stop` says so. The project must be plain.
pub fn search(project: &Project, schedules: u64, floor: u32, seed: u64, stop: &dyn Fn() -> bool) -> Search {
    assert!(project.is_plain(), "the serial scheme knows no greatest lags");
    let mut hunt = Hunt::new(schedules, floor, seed, stop);
    if suits_two_populations(project.lengths.len(), schedules) {
        two::run(project, schedules, &mut hunt);
    } else {
        lists::run(project, schedules, &mut hunt);
    }
    hunt.told()
}
