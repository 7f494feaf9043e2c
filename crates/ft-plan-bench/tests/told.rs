//! What is said about a plan is so.

use ft_night::{KitPool, Person, Phase, Place, Problem, Task, Word, Words};
use ft_plan::{Because, Budget, Wish, explain, plan, smallest_conflict};
use ft_plan_bench::nights::{Size, night};

fn step(title: &str, hands_s: u32, due_s: Option<u32>) -> Task {
    let title = Words::from([("en".to_owned(), title.to_owned())]);
    Task { title, due_s, phases: vec![Phase { hands_s, people: 1, ..Phase::default() }], ..Task::default() }
}

fn kitchen(tasks: Vec<Task>, people: usize) -> Problem {
    let person = |index: usize| Person { name: format!("person {index}"), ..Person::default() };
    Problem {
        tasks,
        people: (0..people).map(person).collect(),
        places: vec![Place::default()],
        ..Problem::default()
    }
}

/// Two steps need the only bucket: the second waits for the first, and the sentence says so.
#[test]
fn a_step_that_waits_for_the_bucket_says_so() {
    let mut problem = kitchen(vec![step("Flush left", 60, None), step("Flush right", 60, None)], 2);
    problem.kit.push(KitPool { title: Words::from([("en".to_owned(), "bucket".to_owned())]), count: 1 });
    for task in 0..2 {
        problem.holds.push(ft_night::Hold { kit: 0, count: 1, from_task: task, to_task: task });
    }
    let plan = plan(&problem, &Budget::units(10, 1));
    assert_eq!((plan.word, plan.score.ends_at_s), (Word::Feasible, 120));
    let told = explain(&problem, &plan);
    let last = told.chain.last().expect("a chain");
    assert_eq!(last.because, Because::Kit(0));
    assert!(
        last.sentence["en"].contains("waits for a bucket, which comes back with “Flush"),
        "{}",
        last.sentence["en"]
    );
}

/// Of three dues only the two that one person cannot keep together are in the conflict; each is overstepped by 20 s.
#[test]
fn the_conflict_holds_only_what_cannot_be_together() {
    let tasks = vec![step("a", 60, Some(100)), step("b", 60, Some(100)), step("c", 10, Some(1000))];
    let problem = kitchen(tasks, 1);
    let conflict = smallest_conflict(&problem, &Budget::units(50, 1)).expect("nothing fits");
    let wishes: Vec<(Wish, Option<i64>)> =
        conflict.wishes.iter().map(|give| (give.wish, give.by_s)).collect();
    assert_eq!(wishes, [(Wish::Due(0), Some(20)), (Wish::Due(1), Some(20))]);
}

/// The chain of a night leads without a hole from something that waits for nobody to the last end.
#[test]
fn the_chain_of_a_night_has_no_hole() {
    for seed in 0..10 {
        let problem = night(Size { machines: 1, people: 2, walking: true }, seed);
        let plan = plan(&problem, &Budget::units(300, 1));
        let told = explain(&problem, &plan);
        assert_eq!(told.chain[0].because, Because::Clock, "seed {seed}");
        for pair in told.chain.windows(2) {
            assert_eq!(pair[1].after, Some(pair[0].assignment), "seed {seed}");
        }
        let last = told.chain.last().expect("a chain").assignment;
        assert_eq!(plan.assignments[last].end_s, plan.score.ends_at_s);
    }
}
