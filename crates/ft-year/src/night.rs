//! One day and night of the year after the other.

use std::collections::BTreeMap;

use ft_record::{Event, Fact, LotOrigin, OpenReason, PartRef, ReadingSource, Role, SignedAs, Training};
use ft_testkit::chance::Chance;

use crate::site::{At, Machine, Site};

/// 2026-01-01 00:00 UTC, milliseconds: the first midnight, unless another is asked for.
pub const BEGIN_MS: i64 = 1_767_225_600_000;
const SECOND_MS: i64 = 1_000;
const MINUTE_MS: i64 = 60_000;
const DAY_MS: i64 = 86_400_000;

/// How often a can of kept product is thrown away instead of being used: the chain is broken.
const CHAIN_DAYS: u32 = 5;

/// The year as it is told, day after day: the opening at 7, the day's trade, the closing from 21:30.
pub struct Year<'s> {
    site: &'s Site,
    chance: Chance,
    begin_ms: i64,
    day: u32,
    order: u64,
    /// What is kept from the night before, by place.
    cans: BTreeMap<String, String>,
    replaced: BTreeMap<PartRef, u32>,
}

impl<'s> Year<'s> {
    /// A year of a seed.
    pub fn new(site: &'s Site, seed: u64) -> Self {
        Self::since(site, seed, BEGIN_MS)
    }

    /// A year of a seed, from a midnight on, milliseconds since 1970.
    pub fn since(site: &'s Site, seed: u64, begin_ms: i64) -> Self {
        Self {
            site,
            chance: Chance::new(seed),
            begin_ms,
            day: 0,
            order: 0,
            cans: BTreeMap::new(),
            replaced: BTreeMap::new(),
        }
    }

    /// When the question is asked on the day that was told last: 10 in the morning of the day after its night.
    pub fn asked_ms(&self) -> i64 {
        self.begin_ms + i64::from(self.day) * DAY_MS + 10 * 60 * MINUTE_MS
    }

    /// The next night and the morning and trade after it, in the order in which they happened.
    pub fn next_night(&mut self) -> Vec<Event> {
        let mut events = Vec::new();
        let evening = self.begin_ms + i64::from(self.day) * DAY_MS + (21 * 60 + 30) * MINUTE_MS;
        if self.day == 0 {
            self.people(&mut events, evening - DAY_MS);
        }
        if self.day.is_multiple_of(90) {
            self.skills(&mut events, evening - 60 * MINUTE_MS);
        }
        let site = self.site;
        for (number, machine) in site.machines.iter().enumerate() {
            let (night, morning) = (evening + number as i64 * MINUTE_MS, evening + (9 * 60 + 30) * MINUTE_MS);
            self.run(&mut events, machine, At::Closing, night);
            self.keep(&mut events, machine, night + 40 * MINUTE_MS);
            self.replace(&mut events, machine, morning - 10 * MINUTE_MS);
            let ended = self.run(&mut events, machine, At::Opening, morning + number as i64 * MINUTE_MS);
            self.fill(&mut events, machine, ended);
            self.trade(&mut events, machine, ended + 5 * MINUTE_MS);
        }
        self.day += 1;
        events.sort_by_key(|event| (event.at_ms, event.order));
        events
    }

    fn add(
        &mut self,
        events: &mut Vec<Event>,
        at_ms: i64,
        who: &str,
        of: (Option<&str>, Option<&str>),
        fact: Fact,
    ) -> String {
        self.order += 1;
        let id = format!("{:08}-{:04}", self.order, self.day);
        events.push(Event {
            v: ft_record::VERSION,
            id: id.clone(),
            // One tablet at each machine, so that each one's own order is that of its clock.
            device: of.1.unwrap_or("office").to_owned(),
            order: self.order,
            at_ms,
            zone: "UTC".into(),
            person: (!who.is_empty()).then(|| who.to_owned()),
            run: of.0.map(str::to_owned),
            machine: of.1.map(str::to_owned),
            fact,
        });
        id
    }

    fn people(&mut self, events: &mut Vec<Event>, at_ms: i64) {
        for (who, roles) in
            [("Marisol", vec![Role::Lead]), ("Teo", vec![Role::Closer]), ("Wren", vec![Role::Opener])]
        {
            let fact = Fact::PersonAdded { who: who.into(), roles, language: "en".into() };
            self.add(events, at_ms, "Marisol", (None, None), fact);
        }
    }

    fn skills(&mut self, events: &mut Vec<Event>, at_ms: i64) {
        let works = self.site.machines.iter().flat_map(|m| [&m.expected.closing, &m.expected.opening]);
        let skills: std::collections::BTreeSet<String> =
            works.flat_map(|work| work.skills.values().cloned()).collect();
        for skill in skills {
            for who in ["Teo", "Wren"] {
                let fact = Fact::Trained { who: who.into(), skill: skill.clone(), how: Training::Confirmed };
                self.add(events, at_ms, "Marisol", (None, None), fact);
            }
        }
    }

    /// Walks one procedure of a machine; gives when it ended.
    fn run(&mut self, events: &mut Vec<Event>, machine: &Machine, at: At, begins_ms: i64) -> i64 {
        let (work, walk, who, procedure, r#as) = match at {
            At::Closing => (&machine.expected.closing, &machine.closing, "Teo", "closing", SignedAs::Closer),
            At::Opening => (&machine.expected.opening, &machine.opening, "Wren", "opening", SignedAs::Opener),
        };
        let name = machine.name();
        let opened = Fact::RunOpened {
            procedure: procedure.into(),
            machines: vec![machine.installed.clone()],
            people: vec![who.into()],
            out_by_ms: None,
        };
        let run = self.add(events, begins_ms, who, (None, None), opened);
        let of = (Some(run.as_str()), Some(name));
        let mut at_ms = begins_ms;
        let mut happened: BTreeMap<usize, i64> = BTreeMap::new();
        for &event in walk {
            at_ms += self.chance.within(5, 40) as i64 * SECOND_MS;
            for contact in work.contacts.iter().filter(|contact| contact.until == event) {
                let least = happened[&contact.from] + (contact.least_s * 1000.0) as i64;
                at_ms = at_ms.max(least + self.chance.within(1, 20) as i64 * SECOND_MS);
            }
            for measure in work.measures.iter().filter(|measure| measure.by == event) {
                let (value, unit) = middle(&measure.within);
                let fact = Fact::Reading {
                    of: measure.names[0].clone(),
                    value: value + self.chance.below(100) as f64 / 1000.0,
                    unit,
                    within: Some(measure.within.clone()),
                    good: Some(true),
                    source: ReadingSource::Hand,
                };
                self.add(events, at_ms - SECOND_MS, who, of, fact);
            }
            happened.insert(event, at_ms);
            let fact = Fact::Happened { event: work.form.events[event].name.clone() };
            self.add(events, at_ms, who, of, fact);
        }
        self.add(events, at_ms + 30 * SECOND_MS, who, of, Fact::Signed { r#as });
        at_ms + 30 * SECOND_MS
    }

    /// What is left is kept in a can, or thrown away.
    fn keep(&mut self, events: &mut Vec<Event>, machine: &Machine, at_ms: i64) {
        for vessel in &machine.expected.vessels {
            if self.day == 0 {
                continue;
            }
            let of = (None, Some(machine.name()));
            let is_kept = !self.day.is_multiple_of(CHAIN_DAYS);
            if is_kept {
                let can = format!("K{}-{}", self.day, vessel.place);
                let lot = can.replace('/', " ");
                let received = Fact::LotReceived {
                    lot: lot.clone(),
                    product: "rerun".into(),
                    litres: 1.5,
                    origin: LotOrigin::Rerun,
                    use_by: None,
                };
                self.add(events, at_ms, "Teo", of, received);
                let blended = Fact::Blended { from: vessel.place.clone(), into: lot.clone(), litres: 1.5 };
                self.add(events, at_ms, "Teo", of, blended);
                self.cans.insert(vessel.place.clone(), lot);
            }
            let away =
                Fact::Discarded { lot: vessel.place.clone(), litres: None, because: "end of day".into() };
            self.add(events, at_ms + SECOND_MS, "Teo", of, away);
        }
    }

    fn fill(&mut self, events: &mut Vec<Event>, machine: &Machine, at_ms: i64) {
        for vessel in &machine.expected.vessels {
            let of = (None, Some(machine.name()));
            if let Some(can) = self.cans.remove(&vessel.place) {
                let blended = Fact::Blended { from: can.clone(), into: vessel.place.clone(), litres: 1.5 };
                self.add(events, at_ms, "Wren", of, blended);
            }
            let lot = format!("L{}-{}", self.day, vessel.place.replace('/', " "));
            let received = Fact::LotReceived {
                lot: lot.clone(),
                product: "mix".into(),
                litres: 10.0,
                origin: LotOrigin::Delivered,
                use_by: None,
            };
            self.add(events, at_ms - 60 * MINUTE_MS, "Wren", of, received);
            let opened = Fact::LotOpened { lot: lot.clone(), reason: OpenReason::Pack };
            self.add(events, at_ms, "Wren", of, opened);
            let blended = Fact::Blended { from: lot, into: vessel.place.clone(), litres: 10.0 };
            self.add(events, at_ms + SECOND_MS, "Wren", of, blended);
        }
    }

    /// Servings told each hour, and a probe in each vessel each half hour, until nine in the evening.
    fn trade(&mut self, events: &mut Vec<Event>, machine: &Machine, from_ms: i64) {
        let until = self.begin_ms + i64::from(self.day + 1) * DAY_MS + 21 * 60 * MINUTE_MS;
        for vessel in &machine.expected.vessels {
            let of = (None, Some(machine.name()));
            let mut at_ms = from_ms;
            let mut number = 0;
            while at_ms < until {
                let fact = Fact::Reading {
                    of: vessel.place.clone(),
                    value: 2.5 + self.chance.below(150) as f64 / 100.0,
                    unit: "°C".into(),
                    within: None,
                    good: None,
                    source: ReadingSource::Probe,
                };
                self.add(events, at_ms, "", of, fact);
                if number % 2 == 1 {
                    let litres = self.chance.within(20, 60) as f64 / 100.0;
                    let fact = Fact::Served { from: vessel.place.clone(), litres };
                    self.add(events, at_ms, "Wren", of, fact);
                }
                number += 1;
                at_ms += 29 * MINUTE_MS;
            }
        }
    }

    /// Parts at their age, and some before it because they failed.
    fn replace(&mut self, events: &mut Vec<Event>, machine: &Machine, at_ms: i64) {
        for part in &machine.expected.parts {
            let Some(lasts) = part.lasts_days else { continue };
            let key = PartRef { part: format!("{}/{}", machine.name(), part.part.part), ..part.part.clone() };
            let since = self.day - self.replaced.get(&key).copied().unwrap_or(0);
            let failed = self.chance.below((lasts * 3.0) as usize) == 0;
            if failed || f64::from(since) + 3.0 > lasts {
                let fact = Fact::PartReplaced { part: part.part.clone(), failed, supplier_lot: None };
                self.add(events, at_ms, "Wren", (None, Some(machine.name())), fact);
                self.replaced.insert(key, self.day);
            }
        }
    }
}

/// A value well within a limit such as `100..200 mg/L` or `< 5 °C`, and its unit.
fn middle(within: &str) -> (f64, String) {
    let number = |text: &str| text.trim().parse::<f64>().expect("a limit of the demo has numbers");
    if let Some((low, rest)) = within.split_once("..") {
        let (high, unit) = rest.trim().split_once(' ').expect("a limit has a unit");
        return (f64::midpoint(number(low), number(high)), unit.to_owned());
    }
    let (limit, unit) = within.trim_start_matches(['<', '>', '=']).trim().split_once(' ').expect("a unit");
    let away = if within.starts_with('<') { -1.5 } else { 1.5 };
    (number(limit) + away, unit.to_owned())
}
