//! Going on from a mark gives the times that working everything out from the begin gives.

use ft_night::{
    Grouping, Hold, Item, Journey, KitPool, Lag, Person, Phase, Place, Point, Problem, Room, Stage, Task,
    WashWork,
};

use crate::budget::{Budget, Meter};
use crate::build::Night;
use crate::build::first::Built;
use crate::model::Cuts;
use crate::rng::Rng;
use crate::score::to_plan;
use crate::search::Judge;
use crate::search::frame::Frame;
use crate::search::moves::Moves;
use crate::search::sequence::Sequence;
use crate::search::timing::Timing;

/// Forty steps by three people, of whom one is slow; a bucket that goes round, one sink, parts to wash.
fn problem(rng: &mut Rng) -> Problem {
    let hands = |hands_s, place| Phase { hands_s, people: 1, place, ..Phase::default() };
    let mut problem = Problem {
        places: vec![Place::default(); 3],
        walk_s: vec![vec![0, 7, 12], vec![7, 0, 9], vec![12, 9, 0]],
        people: [100, 100, 130]
            .map(|pace_percent| Person { pace_percent, starts_at: Some(0), ..Person::default() })
            .into(),
        kit: vec![KitPool { count: 2, ..KitPool::default() }],
        rooms: vec![Room { bays: 1, units: 6, ..Room::default() }],
        ..Problem::default()
    };
    for task in 0..40 {
        let mut phases = vec![hands(10 + rng.below(50) as u32, rng.below(3))];
        if rng.below(4) == 0 {
            phases.push(Phase { wait_s: 40, late_s: Some(0), ..Phase::default() });
            phases.push(Phase { late_s: Some(90), ..hands(15, rng.below(3)) });
        }
        problem.tasks.push(Task { phases, ..Task::default() });
        if task > 0 && rng.below(3) > 0 {
            let max_s = (rng.below(30) == 0).then_some(1500);
            let from = Point::end(rng.below(task));
            problem.lags.push(Lag { from, to: Point::begin(task), max_s, ..Lag::default() });
        }
        if task % 8 == 7 {
            problem.holds.push(Hold { kit: 0, count: 1, from_task: task - 1, to_task: task });
        }
    }
    let stage = |place, room| Stage { phase: hands(20, place), each_s: 8, room };
    let journey = Journey { units: 6, stages: vec![stage(1, Some(0)), stage(2, None)], ..Journey::default() };
    let item = |index: usize| Item { size: 1 + index as u32 % 3, after: vec![index * 3], ..Item::default() };
    problem.wash =
        WashWork { journeys: vec![journey], items: (0..10).map(item).collect(), ..WashWork::default() };
    problem
}

#[test]
fn going_on_gives_what_beginning_anew_gives() {
    let mut rng = Rng::new(11);
    let mut kept = 0;
    for cuts in [Cuts::Few, Cuts::Many, Cuts::Few, Cuts::Many] {
        let problem = problem(&mut rng);
        let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
        let loads = Grouping((0..10).map(|item| vec![item]).collect());
        let mut meter = Meter::new(Budget::units(100, 0));
        let built = Built::by_rule(&problem, loads, &judge, &mut meter);
        let night = Night::build(&built.model, &built.genes);
        let floor = crate::groups::floor(&problem);
        let frame = Frame::new(&problem, &built.loads, &floor, true, cuts);
        let moves = Moves::new(&frame);
        let (mut going_on, mut anew) = (Timing::new(&frame), Timing::new(&frame));
        let mut here = Sequence::of_plan(&frame, &to_plan(&night, &built.loads, problem.tasks.len()));
        going_on.run(&here);
        going_on.keep(&mut here);
        let mut next = here.clone();
        for _ in 0..500 {
            next.clone_from(&here);
            let chain = going_on.state.chain();
            if !moves.change(&frame, &mut next, &chain, &mut rng) {
                continue;
            }
            let plan = next.to_plan(&frame, going_on.run(&next));
            let state = anew.run(&next);
            assert_eq!(plan, next.to_plan(&frame, state));
            assert_eq!(going_on.state.front.fault, anew.state.front.fault);
            assert_eq!(going_on.state.log, anew.state.log);
            if rng.below(3) == 0 {
                going_on.keep(&mut next);
                std::mem::swap(&mut here, &mut next);
                kept += usize::from(going_on.went_on > 0);
            }
        }
    }
    assert!(kept > 100, "of the sequences that were kept {kept} went on from a mark");
}
