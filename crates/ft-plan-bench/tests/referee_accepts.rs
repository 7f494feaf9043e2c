//! Every plan that the planner makes for problems by seed passes the referee.

use ft_plan::{Budget, plan};
use ft_plan_bench::nights::{Size, night};
use ft_plan_bench::wild::wild;

#[track_caller]
fn check(name: &str, problem: &ft_night::Problem, units: u64) -> ft_night::Plan {
    assert_eq!(problem.faults(), Vec::<String>::new(), "{name}");
    let plan = plan(problem, &Budget::units(units, 1));
    let found = ft_referee::problems(problem, &plan);
    assert!(found.is_empty(), "{name}: {found:#?}");
    plan
}

/// `FULLTRAY_WILD` sets how many; 10,000 take about a minute in release.
#[test]
fn ten_thousand_wild_problems() {
    let count = std::env::var("FULLTRAY_WILD").ok().and_then(|text| text.parse().ok()).unwrap_or(600);
    let mut words = std::collections::BTreeMap::new();
    for seed in 0..count {
        let plan = check(&format!("wild({seed})"), &wild(seed), 60);
        *words.entry(format!("{:?}", plan.word)).or_insert(0) += 1;
    }
    println!("{words:?}");
    assert!(words.len() > 1, "problems that all end alike test little: {words:?}");
}

#[test]
fn nights_of_every_size() {
    for machines in 1..=3 {
        for people in 1..=4 {
            let size = Size { machines, people, walking: true };
            let plan = check(&format!("{size:?}"), &night(size, 7), 30);
            assert!(plan.is_plan(), "{size:?}: {:?}", plan.word);
        }
    }
}
