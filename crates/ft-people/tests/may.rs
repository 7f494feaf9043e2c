//! Who may do a step alone: practised and watched often enough, confirmed, not lapsed, not taken back.

use std::collections::{BTreeMap, BTreeSet};

use ft_people::{People, Settings, Why};
use ft_record::{Event, Fact, Practice, Role, Training};

const DAY_MS: i64 = 86_400_000;

struct Told {
    people: People,
    order: u64,
}

impl Told {
    fn new() -> Self {
        let mut told = Self { people: People::new(), order: 0 };
        told.people.asks_for("slicer", ["blades".to_owned()].into());
        told.people.asks_for("twist", ["rerun".to_owned()].into());
        told.people.asks_for("juice tower", BTreeSet::new());
        for (who, roles) in [
            ("Marisol", vec![Role::Lead]),
            ("Teo", vec![Role::Closer]),
            ("Wren", vec![Role::Closer, Role::Opener]),
            ("Ines", vec![Role::Trainer]),
        ] {
            told.tell(0, "Marisol", Fact::PersonAdded { who: who.into(), roles, language: "en".into() });
        }
        told
    }

    fn tell(&mut self, day: i64, by: &str, fact: Fact) -> String {
        self.tell_of(None, day, by, fact)
    }

    fn tell_of(&mut self, machine: Option<&str>, day: i64, by: &str, fact: Fact) -> String {
        self.order += 1;
        let id = format!("e{}", self.order);
        self.people.apply(&Event {
            v: 1,
            id: id.clone(),
            device: "tablet".into(),
            order: self.order,
            at_ms: day * DAY_MS,
            zone: "UTC".into(),
            person: Some(by.into()),
            run: None,
            machine: machine.map(str::to_owned),
            fact,
        });
        id
    }

    fn trained(&mut self, day: i64, by: &str, who: &str, how: Training) -> String {
        self.tell(day, by, Fact::Trained { who: who.into(), skill: "blades".into(), how })
    }

    fn practised(&mut self, day: i64, who: &str, passed: bool) {
        self.practised_on(Some("slicer"), day, who, passed);
    }

    fn practised_on(&mut self, machine: Option<&str>, day: i64, who: &str, passed: bool) {
        let session = Practice {
            who: who.into(),
            procedure: "closing".into(),
            moves: 80,
            slips: BTreeMap::new(),
            passed,
        };
        self.tell_of(machine, day, who, Fact::Practised { session });
    }

    fn why(&self, who: &str, day: i64) -> Why {
        let settings = Settings { watched: 2, practice: true, lapses_days: 100 };
        self.people.may_alone(who, "blades", day * DAY_MS, settings).why
    }
}

#[test]
fn practice_and_watching_come_together() {
    let mut told = Told::new();
    assert_eq!(told.why("Teo", 1), Why::NotPractised);
    told.practised(1, "Teo", false);
    assert_eq!(told.why("Teo", 1), Why::NotPractised);
    told.practised(1, "Teo", true);
    assert_eq!(told.why("Teo", 1), Why::NotWatched { done: 0, needed: 2 });
    told.trained(2, "Ines", "Teo", Training::UnderWatch);
    // Nobody watches themselves, and who may not do it alone cannot watch.
    told.trained(2, "Teo", "Teo", Training::UnderWatch);
    told.trained(2, "Wren", "Teo", Training::UnderWatch);
    assert_eq!(told.why("Teo", 3), Why::NotWatched { done: 1, needed: 2 });
    let second = told.trained(3, "Marisol", "Teo", Training::UnderWatch);
    assert_eq!(told.why("Teo", 3), Why::Learnt);
    assert_eq!(told.why("Teo", 2), Why::NotWatched { done: 1, needed: 2 }, "the past stays as it was");
    // A slip of the finger is taken out.
    told.tell(4, "Marisol", Fact::Corrected { of: second, because: "it was Wren".into() });
    assert_eq!(told.why("Teo", 4), Why::NotWatched { done: 1, needed: 2 });
}

#[test]
fn practice_counts_for_what_the_machine_asks_for_alone() {
    let mut told = Told::new();
    for machine in [Some("twist"), Some("juice tower"), Some("a machine that nobody knows"), None] {
        told.practised_on(machine, 1, "Teo", true);
    }
    assert_eq!(told.why("Teo", 2), Why::NotPractised, "nothing of it was about blades");
    told.practised_on(Some("slicer"), 2, "Teo", true);
    assert_eq!(told.why("Teo", 2), Why::NotWatched { done: 0, needed: 2 });
}

#[test]
fn who_may_do_it_alone_may_watch() {
    let mut told = Told::new();
    told.trained(1, "Ines", "Teo", Training::Confirmed);
    told.practised(1, "Wren", true);
    told.trained(2, "Teo", "Wren", Training::UnderWatch);
    told.trained(3, "Teo", "Wren", Training::UnderWatch);
    assert_eq!(told.why("Wren", 4), Why::Learnt);
}

#[test]
fn it_is_confirmed_taken_back_and_lapses() {
    let mut told = Told::new();
    told.trained(1, "Wren", "Teo", Training::Confirmed);
    assert_eq!(told.why("Teo", 1), Why::NotPractised, "only a trainer or a lead can confirm");
    told.trained(1, "Ines", "Teo", Training::Confirmed);
    assert_eq!(told.why("Teo", 101), Why::Confirmed);
    assert_eq!(told.why("Teo", 102), Why::Lapsed { days: 101, after: 100 });
    told.people.used("Teo", "blades", 60 * DAY_MS);
    assert_eq!(told.why("Teo", 160), Why::Confirmed, "doing it keeps it fresh");
    told.trained(61, "Marisol", "Teo", Training::Withdrawn);
    assert_eq!(told.why("Teo", 62), Why::Withdrawn);
    told.tell(70, "Marisol", Fact::RolesChanged { who: "Teo".into(), roles: vec![] });
    assert_eq!(told.why("Teo", 71), Why::Unknown);
    assert_eq!(told.why("Nobody", 71), Why::Unknown);
}
