//! The demo kitchen as it is shipped, and kitchens with something wrong.

use ft_plan::Budget;

use super::{Asked, NoNight, Tonight, tonight};
use crate::{Source, Trouble};

const KITCHEN: &str = include_str!("../../../../demo/pier.kitchen.kdl");
const FILES: &[(&str, &str)] = &[
    ("shake.machine.kdl", include_str!("../../../../demo/shake.machine.kdl")),
    ("twist.machine.kdl", include_str!("../../../../demo/twist.machine.kdl")),
    ("slicer.machine.kdl", include_str!("../../../../demo/slicer.machine.kdl")),
    ("juice.machine.kdl", include_str!("../../../../demo/juice.machine.kdl")),
];

fn plan(kitchen: &str, procedure: &str, units: u64, seed: u64) -> Result<Tonight, NoNight> {
    let read = |name: &str| {
        let found = FILES.iter().find(|(file, _)| *file == name);
        found
            .map(|(name, text)| Source { name: (*name).into(), text: (*text).into() })
            .ok_or_else(|| "there is no such file".to_owned())
    };
    let kitchen = Source { name: "pier.kitchen.kdl".into(), text: kitchen.into() };
    tonight(&Asked { kitchen, procedure, budget: Budget::units(units, seed), language: "en", here: None }, &read)
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
