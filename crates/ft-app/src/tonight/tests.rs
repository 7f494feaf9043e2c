//! The demo kitchen as it is shipped, and kitchens with something wrong.

use ft_odds::lengths::Run;
use ft_plan::Budget;

use super::{Asked, NoNight, Tonight, cards, tonight};
use crate::{Source, Trouble};

const KITCHEN: &str = include_str!("../../../../demo/pier.kitchen.kdl");
const FILES: &[(&str, &str)] = &[
    ("shake.machine.kdl", include_str!("../../../../demo/shake.machine.kdl")),
    ("twist.machine.kdl", include_str!("../../../../demo/twist.machine.kdl")),
    ("slicer.machine.kdl", include_str!("../../../../demo/slicer.machine.kdl")),
    ("juice.machine.kdl", include_str!("../../../../demo/juice.machine.kdl")),
];

fn plan(kitchen: &str, procedure: &str, units: u64, seed: u64) -> Result<Tonight, NoNight> {
    plan_timed(kitchen, procedure, (units, seed), &[])
}

fn plan_timed(
    kitchen: &str,
    procedure: &str,
    (units, seed): (u64, u64),
    timed: &[Run],
) -> Result<Tonight, NoNight> {
    let read = |name: &str| {
        let found = FILES.iter().find(|(file, _)| *file == name);
        found
            .map(|(name, text)| Source { name: (*name).into(), text: (*text).into() })
            .ok_or_else(|| "there is no such file".to_owned())
    };
    let kitchen = Source { name: "pier.kitchen.kdl".into(), text: kitchen.into() };
    tonight(
        &Asked { kitchen, procedure, budget: Budget::units(units, seed), language: "en", here: None, timed },
        &read,
    )
}

/// The demo with one machine, which is quick.
fn slicer_only() -> String {
    let drop = |line: &&str| {
        !["shake.machine", "twist.machine", "juice.machine", "fourth flavour"]
            .iter()
            .any(|word| line.contains(word))
    };
    let kept: Vec<&str> = KITCHEN.lines().filter(drop).collect();
    // The first machine's own lines went with it, but for its label and its closing brace.
    kept.join("\n").replacen("        label es \"batidora heladora\"\n    }\n", "", 1)
}

fn choice(kitchen: &str, procedure: &str) -> (String, String) {
    match plan(kitchen, procedure, 1, 1) {
        Err(NoNight::Trouble(_, Trouble::Choice(wrong, remedy))) => (wrong, remedy),
        Err(other) => panic!("another trouble: {other:?}"),
        Ok(_) => panic!("there is a plan"),
    }
}

#[test]
fn the_demo_is_planned_the_same_twice_and_saves_time() {
    let (first, second) = (plan(KITCHEN, "closing", 40, 7), plan(KITCHEN, "closing", 40, 7));
    let (first, second) = (first.expect("the demo has a plan"), second.expect("and again"));
    assert_eq!(first.plan, second.plan);
    // Broken plans do not come this far: the referee and the play-through have accepted it.
    assert!(ft_referee::problems(&first.problem, &first.plan).is_empty());
    assert_eq!(first.view.baselines.len(), 2);
    for line in &first.view.baselines {
        assert!(
            line.ends_s.is_some_and(|ends| ends > first.view.out_s),
            "{} people: {:?}",
            line.people,
            line.ends_s
        );
    }
    assert!(first.view.give_up.is_none() && first.view.conflict.is_empty());
    cards_say_what_the_plan_and_the_file_say(&first);
}

#[test]
fn plans_of_several_seeds_play_through() {
    for seed in 1..=5 {
        for units in [1, 20, 100] {
            let night = plan(&slicer_only(), "closing", units, seed);
            assert!(night.is_ok_and(|night| night.plan.is_plan()), "seed {seed}, {units} units");
        }
    }
}

#[test]
fn bad_kitchens_say_what_is_wrong() {
    let (wrong, _) = choice(&KITCHEN.replace("slicer.machine", "slicr.machine"), "closing");
    assert!(wrong.contains("slicer") && wrong.contains("no such file"), "{wrong}");
    let (wrong, remedy) =
        choice(&KITCHEN.replace("fitted \"fourth flavour\"", "fitted \"fifth flavour\""), "closing");
    assert!(wrong.contains("fifth flavour") && remedy.contains("fourth flavour"), "{wrong} {remedy}");
    let (wrong, remedy) = choice(KITCHEN, "polishing");
    assert!(wrong.contains("polishing") && remedy.contains("--procedure"), "{wrong} {remedy}");
    let nobody = KITCHEN.replace("language=\"es\" {", "language=\"es\" away {");
    let nobody = nobody
        .replace("language=\"en\"\n", "language=\"en\" away\n")
        .replace("pace=1.0 language=\"en\" {", "pace=1.0 language=\"en\" away {");
    let (wrong, remedy) = choice(&nobody, "closing");
    assert!(wrong.contains("nobody is here") && remedy.contains("person"), "{wrong} {remedy}");
}

#[test]
fn what_cannot_be_says_what_has_to_give_way() {
    let early = slicer_only().replace("out-by=\"00:15\"", "out-by=\"21:35\"");
    let view = plan(&early, "closing", 40, 1).expect("that is no error").view;
    assert_eq!(view.word, "impossible");
    let give = view.give_up.expect("a later hour helps");
    assert!(give.wishes.iter().all(|wish| wish.by_s.is_none_or(|by_s| by_s > 0)), "{give:?}");
    assert!(give.wishes.iter().any(|wish| wish.wish == "everybody is out in time"), "{give:?}");

    let unskilled = slicer_only().replace("can \"blades\" \"rerun\"", "can \"rerun\"");
    let view = plan(&unskilled, "closing", 40, 1).expect("that is no error").view;
    assert_eq!(view.word, "impossible");
    assert!(
        view.conflict.iter().all(|why| why.contains("“blades”")) && !view.conflict.is_empty(),
        "{:?}",
        view.conflict
    );
    let unheard = unskilled.replace("    skill \"blades\" { label es \"cuchillas\"; }\n", "");
    assert_eq!(plan(&unheard, "closing", 40, 1).expect("that is no error").view.word, "impossible");
}

/// Every attended phase is on the card of everybody who does it, with the caution of its step before it.
fn cards_say_what_the_plan_and_the_file_say(night: &Tonight) {
    let cards = cards(night, "en");
    let hands: usize = night.plan.assignments.iter().map(|one| one.people.len()).sum();
    assert!(cards.len() < hands, "what follows each other is one entry");
    for one in &night.plan.assignments {
        for person in &one.people {
            let is_on = |card: &&super::CardView| {
                card.person == *person && card.start_s <= one.start_s && one.end_s <= card.end_s
            };
            assert!(cards.iter().any(|card| is_on(&card)), "{one:?} is on no card");
        }
    }
    let overlap =
        |pair: &[super::CardView]| pair[0].person == pair[1].person && pair[1].start_s < pair[0].end_s;
    assert!(!cards.windows(2).any(overlap), "nobody is at two things at once");
    let numbered = |card: &&super::CardView| card.title.contains('/');
    assert_eq!(cards.iter().find(numbered).map(|card| card.title.as_str()), None);
    let stages: Vec<&str> =
        cards.iter().filter_map(|card| card.title.split_once(" – ")).map(|(of, _)| of).collect();
    assert!(stages.iter().any(|of| of.starts_with("Wash")) && stages.iter().any(|of| of.ends_with("ay out")));
    let door = cards.iter().find(|card| card.machine == "twist machine" && card.title == "Door off");
    let door = door.expect("somebody takes the door off");
    assert_eq!(door.cautions, ["Both hands: it cracks if it is dropped."]);
    assert!(door.says.starts_with("Four knobs off"));
    assert!(cards.iter().any(|card| card.says.contains("centre core ring")), "a load names its parts");
    assert!(cards.iter().all(|card| !card.machine.is_empty() && !card.title.contains(&card.machine)));
}

/// A record of nights in which every timed step of the slicer took its hands `share` of the card's time.
fn nights(night: &Tonight, who: &str, share: f64, count: u32) -> Vec<Run> {
    let ready = &night.machines[0];
    let mut runs = Vec::new();
    for task in &ready.lowered.tasks {
        let first = &ready.lowered.form.events[task.events[0]].name;
        let Some(step) = first.strip_suffix("@start") else { continue };
        let minutes: f64 = task
            .phases
            .iter()
            .map(|phase| match phase {
                ft_compile::lower::Phase::Hands(seconds) => share * seconds / 60.0,
                ft_compile::lower::Phase::Watch(seconds) | ft_compile::lower::Phase::Alone(seconds) => {
                    seconds / 60.0
                }
            })
            .sum();
        let step = format!("{}/{step}", ready.name);
        runs.extend((1..=count).map(|number| Run {
            step: step.clone(),
            person: who.into(),
            number,
            minutes,
        }));
    }
    runs
}

/// Sums of hand work and of waiting of a problem, seconds.
fn work(night: &Tonight) -> (u32, u32) {
    let phases = || night.problem.tasks.iter().flat_map(|task| &task.phases);
    (phases().map(|phase| phase.hands_s).sum(), phases().map(|phase| phase.wait_s).sum())
}

fn pace(night: &Tonight, who: &str) -> u32 {
    night.problem.people.iter().find(|person| person.name == who).expect("they are here").pace_percent
}

#[test]
fn what_the_record_teaches_makes_a_plan_shorter_or_longer_and_touches_no_wait() {
    let kitchen = slicer_only();
    let plan = |timed: &[Run]| plan_timed(&kitchen, "closing", (40, 1), timed).expect("there is a plan");
    let card = plan(&[]);
    let slow: Vec<Run> = ["Teo", "Wren"].iter().flat_map(|who| nights(&card, who, 1.6, 10)).collect();
    assert!(!slow.is_empty(), "the slicer has steps with a beginning and an end");
    let (later, same) = (plan(&slow), plan(&[]));
    assert_eq!(work(&same), work(&card));
    assert!(work(&card).0 < work(&later).0, "{:?} {:?}", work(&card), work(&later));
    assert_eq!(work(&card).1, work(&later).1, "what has to stand for its time does");
    let quick: Vec<Run> = ["Teo", "Wren"].iter().flat_map(|who| nights(&card, who, 0.7, 10)).collect();
    let sooner = plan(&quick);
    assert!(work(&sooner).0 < work(&card).0, "{:?} {:?}", work(&sooner), work(&card));
    // The two are equally quick in both records, which moves their paces alike: what differs is how long steps take.
    assert_eq!(["Teo", "Wren"].map(|who| pace(&sooner, who)), ["Teo", "Wren"].map(|who| pace(&later, who)));
    assert!(sooner.view.out_s < later.view.out_s, "{} {}", sooner.view.out_s, later.view.out_s);
    assert!(ft_referee::problems(&sooner.problem, &sooner.plan).is_empty());
}

#[test]
fn a_persons_own_lengths_move_their_pace_and_nobody_elses() {
    let kitchen = slicer_only();
    let plan = |timed: &[Run]| plan_timed(&kitchen, "closing", (1, 1), timed).expect("there is a plan");
    let card = plan(&[]);
    let mut runs = nights(&card, "Teo", 1.5, 12);
    runs.extend(nights(&card, "Marisol", 0.9, 12));
    let learnt = plan(&runs);
    assert!(pace(&card, "Teo") < pace(&learnt, "Teo"), "{} {}", pace(&card, "Teo"), pace(&learnt, "Teo"));
    assert!(pace(&learnt, "Marisol") < pace(&card, "Marisol"));
    assert_eq!(pace(&learnt, "Wren"), pace(&card, "Wren"), "nothing was timed of Wren");
}
