//! The search against the plain checker and against every order of a small project.

use ft_project::{Project, search};

/// A project by seed: each activity may come after earlier ones, and uses one of two resources.
fn project(seed: u64, count: usize) -> Project {
    let mut state = seed;
    let mut below = |bound: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % bound
    };
    let mut project = Project { capacities: vec![4, 3], ..Project::default() };
    for one in 0..count {
        let length = 1 + below(6) as u32;
        project.lengths.push(length);
        project.uses.push(vec![(below(2) as usize, 1 + below(3) as u32)]);
        for before in 0..one {
            if below(4) == 0 {
                project.lags.push((before, one, i64::from(project.lengths[before])));
            }
        }
    }
    project
}

/// The earliest end over every list that keeps to precedence, each placed as early as it can: some list of the serial
/// scheme is optimal (Kolisch 1996, European Journal of Operational Research 90:320).
fn least(project: &Project, starts: &mut Vec<Option<u32>>) -> u32 {
    let mut best = u32::MAX;
    let count = project.lengths.len();
    let placed = |starts: &[Option<u32>], one: usize| starts[one].map(|start| start + project.lengths[one]);
    if starts.iter().all(Option::is_some) {
        return (0..count).filter_map(|one| placed(starts, one)).max().unwrap_or(0);
    }
    for one in 0..count {
        let before: Option<Vec<u32>> =
            project.lags.iter().filter(|lag| lag.1 == one).map(|lag| placed(starts, lag.0)).collect();
        let (None, Some(before)) = (starts[one], before) else { continue };
        let mut at = before.into_iter().max().unwrap_or(0);
        while !fits(project, starts, one, at) {
            at += 1;
        }
        starts[one] = Some(at);
        best = best.min(least(project, starts));
        starts[one] = None;
    }
    best
}

fn fits(project: &Project, starts: &[Option<u32>], one: usize, at: u32) -> bool {
    let (resource, amount) = project.uses[one][0];
    (at..at + project.lengths[one]).all(|time| {
        let used = (0..starts.len()).filter(|&other| {
            starts[other].is_some_and(|start| start <= time && time < start + project.lengths[other])
                && project.uses[other][0].0 == resource
        });
        used.map(|other| project.uses[other][0].1).sum::<u32>() + amount <= project.capacities[resource]
    })
}

#[test]
fn small_projects_end_as_early_as_any_order_allows() {
    for seed in 0..40 {
        let project = project(seed, 7);
        for schedules in [400, 6000] {
            let found = search(&project, schedules, 0, 1, &|| false);
            assert_eq!(project.problems(&found.starts), Vec::<String>::new());
            assert_eq!(found.ends_at, least(&project, &mut vec![None; 7]), "seed {seed}");
        }
    }
}

#[test]
fn schedules_are_counted_kept_to_and_the_same_for_the_same_seed() {
    for seed in 0..20 {
        let project = project(seed, 40);
        for schedules in [1, 9, 100, 777, 5001] {
            let found = search(&project, schedules, 0, 3, &|| false);
            assert_eq!(project.problems(&found.starts), Vec::<String>::new());
            assert_eq!(project.ends_at(&found.starts), found.ends_at);
            assert_eq!(found.schedules, schedules);
            assert_eq!(search(&project, schedules, 0, 3, &|| false), found);
        }
    }
}

#[test]
fn a_stop_is_heeded_once_there_is_a_schedule() {
    let project = project(5, 40);
    let found = search(&project, u64::MAX, 0, 1, &|| true);
    assert_eq!((found.schedules, project.problems(&found.starts).len()), (3, 0));
    let found = search(&project, 3000, 0, 1, &|| true);
    assert_eq!((found.schedules, project.problems(&found.starts).len()), (1, 0));
}
