//! A small invented machine, a night and a morning of it in which everything went well, and ways to spoil them.
// Not every test uses all of it.
#![allow(dead_code)]

use std::collections::{BTreeMap, BTreeSet};

use ft_form::{Allowed, Effect, EventKind, Form, Op, Var, VarKind, Words};
use ft_lots::{Limits, MarkDays};
use ft_record::{
    Event, Fact, Installed, LotOrigin, OpenReason, PartRef, ReadingSource, Role, SignedAs, Training,
};
use ft_release::{
    Circuit, Contact, Decision, Expected, Measure, Morning, Part, Settings, Vessel, Work, may_it_serve,
};
use ft_units::{Quantity, TemperatureUnit};
use jiff::tz::TimeZone;

pub const MACHINE: &str = "twist";
pub const TANK: &str = "twist/hopper";
/// 2026-06-01 21:00 UTC, milliseconds.
pub const EVENING_MS: i64 = 1_780_347_600_000;
pub const MINUTE_MS: i64 = 60_000;
/// Minutes from the evening to the question: 7:30 in the morning.
pub const ASKED_MIN: f64 = 630.0;

const PART_STATES: [&str; 9] =
    ["fitted", "off", "apart", "washed", "rinsed", "sanitised", "in slot", "lubricated", "missing"];
const INSIDE_STATES: [&str; 4] = ["soiled", "cleaned", "rinsed", "sanitised"];

fn var(name: &str, states: &[&str], init: i32) -> Var {
    Var {
        name: name.into(),
        lo: 0,
        hi: states.len() as i32 - 1,
        init,
        kind: VarKind::Enum,
        vals: states.iter().map(|state| (*state).to_owned()).collect(),
        words: Words::new(),
    }
}

/// Name, step, kind, and the variables that it sets.
type Line = (&'static str, &'static str, EventKind, &'static [(usize, i32)]);

/// One event after another; each sets variables.
fn chain(name: &str, vars: Vec<Var>, steps: &[Line]) -> Form {
    let mut form = Form { name: name.into(), people: 1, vars, ..Form::default() };
    for (index, (name, step, kind, sets)) in steps.iter().enumerate() {
        let mut event = ft_form::Event::new(*name, *step, *kind);
        event.pre = index.checked_sub(1).into_iter().collect();
        event.eff = sets.iter().map(|&(var, c)| Effect { when: Vec::new(), var, op: Op::Set, c }).collect();
        form.events.push(event);
    }
    assert!(form.problems().is_empty(), "{:?}", form.problems());
    form
}

pub fn ring() -> PartRef {
    PartRef { part: "door ring".into(), side: None, number: None }
}

/// What the machine should go through.
pub fn expected() -> Expected {
    use EventKind::{Do, End, Start};
    let mut closing = chain(
        "twist / closing",
        vec![var("ring", &PART_STATES, 0), var("barrel inside", &INSIDE_STATES, 0)],
        &[
            ("Ring off", "Ring off", Do, &[(0, 1)]),
            ("Wash", "Load 1, wash", Do, &[(0, 3)]),
            ("Rinse", "Load 1, rinse", Do, &[(0, 4)]),
            ("Dip@start", "Load 1, sanitise", Start, &[]),
            ("Dip@end", "Load 1, sanitise", End, &[(0, 5)]),
            ("Lay out", "Load 1, lay out", Do, &[(0, 6)]),
            ("Clean barrel", "Clean barrel", Do, &[(1, 3)]),
        ],
    );
    closing.goal = vec![Allowed { var: 0, mask: 1 << 6 }, Allowed { var: 1, mask: 1 << 3 }];
    let mut opening = chain(
        "twist / opening",
        vec![
            var("ring", &PART_STATES, 6),
            var("barrel inside", &INSIDE_STATES, 3),
            var("cooling", &["off", "on"], 0),
        ],
        &[
            ("Fit ring", "Fit ring", Do, &[(0, 0)]),
            ("Sanitise@start", "Sanitise", Start, &[]),
            ("Sanitise@end", "Sanitise", End, &[(1, 3)]),
            ("Mix in", "Mix in", Do, &[(1, 0), (2, 1)]),
        ],
    );
    opening.goal = vec![Allowed { var: 2, mask: 2 }];
    // A wet barrel under a ring that is still on; it shows when the barrel is cleaned before the ring is off.
    closing.hazards = vec![ft_form::Hazard {
        id: "ring left on".into(),
        on: Some(6),
        when: vec![Allowed { var: 0, mask: 1 }],
        words: Words::from([
            ("en".into(), "the barrel is cleaned under a ring that is on".into()),
            ("es".into(), "se limpia el cilindro con la junta puesta".into()),
        ]),
        origin: None,
    }];
    let sha = || "f".repeat(64);
    Expected {
        machine: MACHINE.into(),
        closing: Work {
            file_sha256: sha(),
            form: closing,
            skills: BTreeMap::from([(6, "barrels".to_owned())]),
            contacts: vec![Contact {
                from: 3,
                until: 4,
                least_s: 60.0,
                says: "label of the sanitiser".into(),
            }],
            measures: Vec::new(),
        },
        opening: Work {
            file_sha256: sha(),
            form: opening,
            skills: BTreeMap::new(),
            contacts: vec![Contact {
                from: 1,
                until: 2,
                least_s: 90.0,
                says: "label of the sanitiser".into(),
            }],
            measures: vec![
                Measure { names: vec!["Sanitiser strength".into()], within: "100..200 mg/L".into(), by: 2 },
                Measure { names: vec!["Temperature of the mix".into()], within: "< 5 °C".into(), by: 3 },
            ],
        },
        parts: vec![Part {
            part: ring(),
            label: Words::from([
                ("en".into(), "door ring".into()),
                ("es".into(), "junta de la puerta".into()),
            ]),
            closing: Some(0),
            opening: Some(0),
            lubricated: true,
            lasts_days: Some(30.0),
        }],
        circuits: vec![Circuit {
            label: Words::from([("en".into(), "barrel".into()), ("es".into(), "cilindro".into())]),
            closing: Some(1),
            opening: Some(1),
        }],
        vessels: vec![Vessel {
            place: TANK.into(),
            warmest: Some((Quantity::new(41.0, TemperatureUnit::Fahrenheit), "test rule".into())),
        }],
    }
}

pub fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "test rule".into() }),
        rerun: None,
        rerun_forbidden: None,
        freezers: BTreeSet::new(),
        zone: TimeZone::UTC,
        day_turns_h: 5,
    }
}

/// Events with minutes since the evening.
#[derive(Clone)]
pub struct Record {
    pub events: Vec<Event>,
}

impl Record {
    /// A night and a morning in which everything went well.
    pub fn good() -> Self {
        let mut record = Self { events: Vec::new() };
        for (who, roles) in
            [("Marisol", vec![Role::Lead]), ("Teo", vec![Role::Closer]), ("Wren", vec![Role::Opener])]
        {
            let fact = Fact::PersonAdded { who: who.into(), roles, language: "en".into() };
            record.add(-2000.0, "Marisol", None, fact);
        }
        let taught = Fact::Trained { who: "Teo".into(), skill: "barrels".into(), how: Training::Confirmed };
        record.add(-1900.0, "Marisol", None, taught);
        record.open("night", 0.0, "closing");
        for (minute, event) in [
            (10.0, "Ring off"),
            (20.0, "Wash"),
            (22.0, "Rinse"),
            (23.0, "Dip@start"),
            (24.5, "Dip@end"),
            (25.0, "Lay out"),
            (40.0, "Clean barrel"),
        ] {
            record.happened("night", minute, "Teo", event);
        }
        record.signed("night", 50.0, "Teo", SignedAs::Closer);
        record.open("morning", 570.0, "opening");
        record.add(
            572.0,
            "Wren",
            Some("morning"),
            Fact::PartInspected { part: ring(), good: true, lubricated: true, note: None },
        );
        record.happened("morning", 573.0, "Wren", "Fit ring");
        record.happened("morning", 580.0, "Wren", "Sanitise@start");
        record.reading("morning", 581.0, "Sanitiser strength", 150.0, "mg/L");
        record.happened("morning", 582.0, "Wren", "Sanitise@end");
        record.reading("morning", 589.0, "Temperature of the mix", 3.5, "°C");
        record.happened("morning", 590.0, "Wren", "Mix in");
        record.signed("morning", 600.0, "Wren", SignedAs::Opener);
        record.lot("A", 500.0, Some("2026-06-30"));
        record.machine(590.5, "Wren", Fact::Blended { from: "A".into(), into: TANK.into(), litres: 5.0 });
        let probe = Fact::Reading {
            of: TANK.into(),
            value: 3.4,
            unit: "°C".into(),
            within: None,
            good: None,
            source: ReadingSource::Probe,
        };
        record.machine(625.0, "", probe);
        record
    }

    pub fn open(&mut self, run: &str, minute: f64, procedure: &str) {
        let installed = Installed {
            machine: MACHINE.into(),
            file_sha256: "f".repeat(64),
            fitted: Vec::new(),
            due: false,
            loads: Vec::new(),
        };
        let fact = Fact::RunOpened {
            procedure: procedure.into(),
            machines: vec![installed],
            people: vec!["Teo".into()],
            out_by_ms: None,
        };
        self.add(minute, "Teo", None, fact);
        self.events.last_mut().expect("it was just added").id = run.into();
    }

    /// Gives the id of the event.
    pub fn add(&mut self, minute: f64, who: &str, run: Option<&str>, fact: Fact) -> String {
        let order = self.events.iter().map(|event| event.order).max().unwrap_or(0) + 1;
        let id = format!("e{order}");
        self.events.push(Event {
            v: ft_record::VERSION,
            id: id.clone(),
            device: "tablet".into(),
            order,
            at_ms: EVENING_MS + (minute * MINUTE_MS as f64) as i64,
            zone: "UTC".into(),
            person: (!who.is_empty()).then(|| who.to_owned()),
            run: run.map(str::to_owned),
            machine: run.map(|_| MACHINE.to_owned()),
            fact,
        });
        id
    }

    /// About the machine, outside of a run.
    pub fn machine(&mut self, minute: f64, who: &str, fact: Fact) -> String {
        let id = self.add(minute, who, None, fact);
        self.events.last_mut().expect("it was just added").machine = Some(MACHINE.into());
        id
    }

    pub fn happened(&mut self, run: &str, minute: f64, who: &str, event: &str) -> String {
        self.add(minute, who, Some(run), Fact::Happened { event: event.into() })
    }

    pub fn signed(&mut self, run: &str, minute: f64, who: &str, r#as: SignedAs) -> String {
        self.add(minute, who, Some(run), Fact::Signed { r#as })
    }

    pub fn reading(&mut self, run: &str, minute: f64, of: &str, value: f64, unit: &str) -> String {
        let fact = Fact::Reading {
            of: of.into(),
            value,
            unit: unit.into(),
            within: None,
            good: None,
            source: ReadingSource::Hand,
        };
        self.add(minute, "Wren", Some(run), fact)
    }

    pub fn lot(&mut self, lot: &str, minute: f64, use_by: Option<&str>) {
        let fact = Fact::LotReceived {
            lot: lot.into(),
            product: "plain mix".into(),
            litres: 10.0,
            origin: LotOrigin::Delivered,
            use_by: use_by.map(str::to_owned),
        };
        self.add(minute, "Wren", None, fact);
        self.add(minute, "Wren", None, Fact::LotOpened { lot: lot.into(), reason: OpenReason::Pack });
    }

    /// Without the events of which this is true.
    pub fn without(mut self, is: impl Fn(&Event) -> bool) -> Self {
        let before = self.events.len();
        self.events.retain(|event| !is(event));
        assert_ne!(self.events.len(), before, "there is such an event");
        self
    }

    /// Without what happened of that name.
    pub fn without_step(self, name: &str) -> Self {
        self.without(|event| event.fact == Fact::Happened { event: name.into() })
    }

    pub fn override_all(&mut self, minute: f64, who: &str, decision: &Decision) {
        for reason in &decision.reasons {
            let fact = Fact::Overridden { reason: reason.key.clone(), because: "looked at by me".into() };
            self.machine(minute, who, fact);
        }
    }

    pub fn morning(&self) -> Morning {
        let mut morning = Morning::new();
        for event in &self.events {
            morning.apply(event);
        }
        morning
    }

    pub fn decide(&self) -> Decision {
        self.decide_at(ASKED_MIN)
    }

    pub fn decide_at(&self, minute: f64) -> Decision {
        let at_ms = EVENING_MS + (minute * MINUTE_MS as f64) as i64;
        may_it_serve(&self.morning(), &expected(), &limits(), &Settings::default(), at_ms)
    }
}
