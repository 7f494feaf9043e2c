//! Closing procedures for invented machines with one to four sides, as a seeded generator draws them.
//!
//! Sides share people, buckets, a brush set, sinks, the mains and a tub. Three in four procedures get one
//! planted mistake: a dropped or moved order, two kinds of kit taken crosswise, a part fitted too early, a goal
//! that nothing reaches. Whether it makes the procedure unsafe is for the provers to find out.

use ft_form::{Allowed, Effect, Event, EventId, EventKind, Form, Hazard, Op, Var, VarId, VarKind, Words};

use crate::chance::Chance;

/// How large a procedure is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Machine sides, 1 to 4.
    pub sides: usize,
    /// Parts that come out of each side; with none a side is only rinsed and tried, in ten steps.
    pub parts: usize,
    /// Rinse cycles of each side before it is opened.
    pub rinses: usize,
    /// People.
    pub people: usize,
    /// Whether the parts of a side are independent of each other, and sides share all kit.
    pub is_loose: bool,
}

/// A size drawn at random: 1 to 3 sides, 1 to 4 people, small enough for SPIN to finish in well under a second.
pub fn small(chance: &mut Chance) -> Size {
    let sides = chance.within(1, 3);
    Size {
        sides,
        parts: chance.within(1, if sides == 3 { 1 } else { 2 }),
        rinses: chance.below(if sides == 3 { 1 } else { 2 }),
        people: chance.within(1, 4),
        is_loose: sides < 3 && chance.percent(40),
    }
}

/// A size on which SPIN has to work for a while.
pub fn large(chance: &mut Chance) -> Size {
    Size {
        sides: chance.within(2, 3),
        parts: chance.within(1, 3),
        rinses: chance.within(1, 2),
        people: chance.within(2, 4),
        is_loose: chance.percent(60),
    }
}

/// The procedure of this seed.
pub fn form(seed: u64, size: Size) -> Form {
    let mut chance = Chance::new(seed);
    let mut draw = Draw::new(seed, size, &mut chance);
    let sides: Vec<Side> = (1..=size.sides).map(|number| draw.side(number)).collect();
    draw.mains(&sides);
    draw.tub(&sides);
    draw.limits();
    if draw.chance.percent(75) {
        draw.mistake();
    }
    draw.form
}

/// The procedure of this size with no mistake planted, for showing how a prover grows.
pub fn whole(seed: u64, size: Size) -> Form {
    let mut chance = Chance::new(seed);
    let mut draw = Draw::new(seed, size, &mut chance);
    let sides: Vec<Side> = (1..=size.sides).map(|number| draw.side(number)).collect();
    draw.mains(&sides);
    draw.tub(&sides);
    draw.limits();
    draw.form
}

struct Side {
    last_run_end: EventId,
    door_off: EventId,
    door_on: EventId,
    final_run: EventId,
    soaks: Vec<(EventId, EventId)>,
}

/// Variables that sides share.
#[derive(Clone, Copy)]
struct Shared {
    people: VarId,
    bucket: VarId,
    brush: VarId,
    sink_a: VarId,
    sink_b: VarId,
    power: VarId,
    tub: VarId,
}

/// Variables of one side's vessel.
#[derive(Clone, Copy)]
struct Vessel {
    mode: VarId,
    press: VarId,
    valve: VarId,
    cont: VarId,
    door: VarId,
}

struct Draw<'c> {
    form: Form,
    size: Size,
    shared: Shared,
    chance: &'c mut Chance,
}

fn one(var: VarId, value: u32) -> Allowed {
    Allowed { var, mask: 1 << value }
}

fn at_least_one(var: VarId) -> Allowed {
    Allowed { var, mask: !1 }
}

fn set(var: VarId, c: i32) -> Effect {
    Effect { when: Vec::new(), var, op: Op::Set, c }
}

fn add(var: VarId, c: i32) -> Effect {
    Effect { when: Vec::new(), var, op: Op::Add, c }
}

const AUTO: u32 = 0;
const OFF: u32 = 1;
const WASH: u32 = 2;
const MIX: u32 = 0;
const EMPTY: u32 = 1;
const WATER: u32 = 2;
const SANITISER: u32 = 3;

impl<'c> Draw<'c> {
    fn new(seed: u64, size: Size, chance: &'c mut Chance) -> Self {
        let mut form = Form { name: format!("kiosk {seed}"), people: size.people as u32, ..Form::default() };
        let mut var = |name: &str, hi: usize, init: usize, kind: VarKind| {
            let (hi, init) = (hi as i32, init as i32);
            let name = name.to_string();
            form.vars.push(Var { name, lo: 0, hi, init, kind, vals: Vec::new(), words: Words::new() });
            form.vars.len() - 1
        };
        let buckets = if size.is_loose { size.sides.max(2) - chance.below(2) } else { size.sides };
        let shared = Shared {
            people: var("#people", size.people, size.people, VarKind::Res),
            bucket: var("#bucket", buckets, buckets, VarKind::Res),
            brush: var("#brush", size.sides, size.sides, VarKind::Res),
            sink_a: var("sink.a", 5, 0, VarKind::Num),
            sink_b: var("sink.b", 5, 0, VarKind::Num),
            power: var("power", 1, 0, VarKind::Enum),
            tub: var("tub", 2, 0, VarKind::Enum),
        };
        Self { form, size, shared, chance }
    }

    fn var(&mut self, name: String, hi: i32, init: i32, kind: VarKind) -> VarId {
        self.form.vars.push(Var { name, lo: 0, hi, init, kind, vals: Vec::new(), words: Words::new() });
        self.form.vars.len() - 1
    }

    fn event(
        &mut self,
        name: &str,
        kind: EventKind,
        pre: &[EventId],
        guard: &[Allowed],
        eff: &[Effect],
    ) -> EventId {
        let suffix = match kind {
            EventKind::Start => "@start",
            EventKind::End => "@end",
            EventKind::Do => "",
        };
        let mut event = Event::new(format!("{name}{suffix}"), name, kind);
        event.pre = pre.to_vec();
        event.pre.sort_unstable();
        event.pre.dedup();
        event.guard = guard.to_vec();
        if kind != EventKind::End {
            event.guard.push(at_least_one(self.shared.people));
        }
        event.eff = eff.to_vec();
        event.dur_min = self.chance.within(1, 5) as f64;
        event.people = Some(1);
        self.form.events.push(event);
        self.form.events.len() - 1
    }

    fn never(&mut self, id: String, on: Option<EventId>, when: &[Allowed]) {
        let hazard = Hazard { id, on, when: when.to_vec(), words: Words::new(), origin: None };
        self.form.hazards.push(hazard);
    }

    fn side(&mut self, number: usize) -> Side {
        let Shared { bucket, power, .. } = self.shared;
        let name = |what: &str| format!("b{number}.{what}");
        let mode = self.var(name("mode"), 2, 0, VarKind::Enum);
        let press = self.var(name("press"), 1, 1, VarKind::Enum);
        let valve = self.var(name("valve"), 1, 0, VarKind::Enum);
        let cont = self.var(name("cont"), 3, 0, VarKind::Enum);
        let door = self.var(name("door"), 1, 0, VarKind::Enum);
        let fill = self.var(name("fill"), 20, 0, VarKind::Num);
        let stop = self.event(&name("stop"), EventKind::Do, &[], &[one(mode, AUTO)], &[set(mode, 1)]);
        let mut at = self.event(
            &name("take_bucket"),
            EventKind::Do,
            &[stop],
            &[at_least_one(bucket)],
            &[add(bucket, -1)],
        );
        let mut last_run_end = stop;
        for rinse in 0..=self.size.rinses {
            let holds = if rinse == 0 { MIX } else { WATER };
            let step = |what: &str| format!("b{number}.{what}{rinse}");
            if rinse > 0 {
                let guard = [one(valve, 0), one(cont, EMPTY)];
                at = self.event(&step("pour"), EventKind::Do, &[at], &guard, &[set(cont, WATER as i32)]);
                let guard = [one(power, 0), one(mode, OFF), one(cont, WATER)];
                let run = [set(mode, WASH as i32), set(press, 1)];
                at = self.event(&step("run"), EventKind::Start, &[at], &guard, &run);
                at = self.event(&step("run"), EventKind::End, &[at], &[one(power, 0)], &[set(mode, 1)]);
                last_run_end = at;
            }
            at = self.event(
                &step("open"),
                EventKind::Do,
                &[at],
                &[one(valve, 0)],
                &[set(valve, 1), set(press, 0)],
            );
            let guard = [one(valve, 1), one(cont, holds), Allowed { var: fill, mask: 0b1_1111 }];
            at = self.event(&step("drain"), EventKind::Do, &[at], &guard, &[set(cont, 1), add(fill, 4)]);
            at = self.event(&step("shut"), EventKind::Do, &[at], &[one(valve, 1)], &[set(valve, 0)]);
            if self.chance.percent(60) || rinse % 2 == 1 || rinse == self.size.rinses {
                at = self.event(&step("empty_bucket"), EventKind::Do, &[at], &[], &[set(fill, 0)]);
            }
        }
        at = self.event(&name("give_bucket"), EventKind::Do, &[at], &[], &[add(bucket, 1)]);
        let guard = [one(mode, OFF), one(press, 0), one(door, 0)];
        let door_off = self.event(&name("door_off"), EventKind::Do, &[at], &guard, &[set(door, 1)]);
        let (mut fits, mut soaks, mut parts) = (Vec::new(), Vec::new(), Vec::new());
        let mut after = door_off;
        for part in 1..=self.size.parts {
            let (fit, soak, var) = self.part(number, part, door, after);
            fits.push(fit);
            soaks.push(soak);
            parts.push(one(var, 5));
            if !self.size.is_loose {
                after = fit;
            }
        }
        if fits.is_empty() {
            fits.push(door_off);
        }
        let mut guard = vec![one(door, 1)];
        guard.extend(&parts);
        let door_on = self.event(&name("door_on"), EventKind::Do, &fits, &guard, &[set(door, 0)]);
        let final_run = if self.size.parts == 0 {
            self.event(&name("try"), EventKind::Do, &[door_on], &[one(power, 0), one(door, 0)], &[])
        } else {
            self.sanitise(number, door_on, Vessel { mode, press, valve, cont, door })
        };
        self.never(name("pressure"), None, &[one(press, 1), one(door, 1)]);
        self.never(name("running"), None, &[Allowed { var: mode, mask: 0b101 }, one(door, 1)]);
        self.never(name("spill"), None, &[one(valve, 1), Allowed { var: cont, mask: 0b1101 }, one(door, 1)]);
        self.never(name("dry"), None, &[one(mode, WASH), one(cont, EMPTY)]);
        self.never(name("live"), None, &[one(power, 0), one(door, 1)]);
        self.never(name("bucket_over"), None, &[Allowed { var: fill, mask: !0x1ff }]);
        self.form.goal.extend([one(mode, OFF), one(press, 0), one(valve, 0), one(cont, EMPTY), one(door, 0)]);
        self.form.goal.extend(parts);
        Side { last_run_end, door_off, door_on, final_run, soaks }
    }

    /// The last run, with sanitiser; gives its begin.
    fn sanitise(&mut self, number: usize, door_on: EventId, vessel: Vessel) -> EventId {
        let Vessel { mode, press, valve, cont, door } = vessel;
        let power = self.shared.power;
        let name = |what: &str| format!("b{number}.{what}");
        let guard = [one(valve, 0), one(cont, EMPTY), one(door, 0)];
        let mut at = self.event(
            &name("pour_sanit"),
            EventKind::Do,
            &[door_on],
            &guard,
            &[set(cont, SANITISER as i32)],
        );
        let guard = [one(power, 0), one(mode, OFF), one(cont, SANITISER)];
        let run = [set(mode, WASH as i32), set(press, 1)];
        let final_run = self.event(&name("sanitise"), EventKind::Start, &[at], &guard, &run);
        at = self.event(&name("sanitise"), EventKind::End, &[final_run], &[one(power, 0)], &[set(mode, 1)]);
        at = self.event(
            &name("open_last"),
            EventKind::Do,
            &[at],
            &[one(valve, 0)],
            &[set(valve, 1), set(press, 0)],
        );
        let guard = [one(valve, 1), one(cont, SANITISER)];
        at = self.event(&name("drain_last"), EventKind::Do, &[at], &guard, &[set(cont, 1)]);
        self.event(&name("close"), EventKind::Do, &[at], &[one(valve, 1)], &[set(valve, 0)]);
        final_run
    }

    /// One part: off, washed, rinsed, soaked, looked at, fitted.
    fn part(
        &mut self,
        number: usize,
        part: usize,
        door: VarId,
        after: EventId,
    ) -> (EventId, (EventId, EventId), VarId) {
        let Shared { people, brush, sink_a, sink_b, tub, .. } = self.shared;
        let name = |what: &str| format!("b{number}.{what}_p{part}");
        let var = self.var(format!("b{number}.p{part}"), 5, 0, VarKind::Enum);
        let (mine, other) = if part % 2 == 1 { (sink_a, sink_b) } else { (sink_b, sink_a) };
        let off =
            self.event(&name("off"), EventKind::Do, &[after], &[one(door, 1), one(var, 0)], &[set(var, 1)]);
        let free = [one(other, 0), Allowed { var: mine, mask: 0b11 }, one(var, 1), at_least_one(brush)];
        let take = [add(mine, 1), add(people, -1), add(brush, -1)];
        let begin = self.event(&name("wash"), EventKind::Start, &[off], &free, &take);
        let give = [set(var, 2), add(mine, -1), add(people, 1), add(brush, 1)];
        let end = self.event(&name("wash"), EventKind::End, &[begin], &[], &give);
        let rinse = self.event(&name("rinse"), EventKind::Do, &[end], &[one(var, 2)], &[set(var, 3)]);
        let guard = [one(tub, 2), one(var, 3)];
        let soak = self.event(&name("soak"), EventKind::Start, &[rinse], &guard, &[set(var, 4)]);
        let soaked = self.event(&name("soak"), EventKind::End, &[soak], &[], &[]);
        let mut ready = vec![soaked];
        if self.chance.percent(25) {
            ready = self.look(&name("look"), soaked);
        }
        let fit = self.event(&name("fit"), EventKind::Do, &ready, &[one(var, 4)], &[set(var, 5)]);
        self.never(name("early"), Some(fit), &[one(tub, 1)]);
        self.never(name("mixed_sink"), Some(begin), &[at_least_one(other)]);
        (fit, (soak, soaked), var)
    }

    /// A look that the world answers, and a step that depends on the answer.
    fn look(&mut self, name: &str, after: EventId) -> Vec<EventId> {
        let answer = self.var(format!("{name}.answer"), 2, 0, VarKind::Enum);
        let spare = self.var(format!("{name}.part"), 1, 1, VarKind::Enum);
        let begin = self.event(name, EventKind::Start, &[after], &[], &[]);
        let mut answers = Vec::new();
        for value in [1, 2] {
            let mut event = Event::new(format!("{name}={value}"), name, EventKind::Do);
            event.nature = true;
            event.pre = vec![begin];
            let when = vec![one(answer, 0)];
            event.eff.push(Effect { when, var: answer, op: Op::Set, c: value });
            self.form.events.push(event);
            answers.push(self.form.events.len() - 1);
        }
        let worn = Effect { when: vec![one(answer, 2)], var: spare, op: Op::Set, c: 0 };
        let swap = self.event(&format!("{name}.decide"), EventKind::Do, &answers, &[], &[worn]);
        let fresh = self.event(&format!("{name}.settle"), EventKind::Do, &[swap], &[], &[set(spare, 1)]);
        self.form.goal.push(one(spare, 1));
        vec![fresh]
    }

    fn mains(&mut self, sides: &[Side]) {
        let power = self.shared.power;
        let runs: Vec<EventId> = sides.iter().map(|side| side.last_run_end).collect();
        let off = self.event("power_off", EventKind::Do, &runs, &[one(power, 0)], &[set(power, 1)]);
        let doors: Vec<EventId> = sides.iter().map(|side| side.door_on).collect();
        let on = self.event("power_on", EventKind::Do, &doors, &[one(power, 1)], &[set(power, 0)]);
        for side in sides {
            self.form.events[side.door_off].pre.push(off);
            self.form.events[side.final_run].pre.push(on);
        }
        self.form.goal.push(one(power, 0));
    }

    fn tub(&mut self, sides: &[Side]) {
        let tub = self.shared.tub;
        let acid = self.event("acid_in", EventKind::Do, &[], &[one(tub, 0)], &[set(tub, 1)]);
        let out = self.event("acid_out", EventKind::Do, &[acid], &[one(tub, 1)], &[set(tub, 0)]);
        let make = self.event("make_sanitiser", EventKind::Do, &[out], &[one(tub, 0)], &[set(tub, 2)]);
        let soaks: Vec<(EventId, EventId)> =
            sides.iter().flat_map(|side| side.soaks.iter().copied()).collect();
        for (start, _) in &soaks {
            self.form.events[*start].pre.push(make);
        }
        let ends: Vec<EventId> = soaks.iter().map(|soak| soak.1).collect();
        self.event("dump_sanitiser", EventKind::Do, &ends, &[one(tub, 2)], &[set(tub, 0)]);
        self.never("chlorine_into_acid".into(), Some(make), &[one(tub, 1)]);
        self.form.goal.push(one(tub, 0));
    }

    fn limits(&mut self) {
        let Shared { sink_a, sink_b, .. } = self.shared;
        self.never("sinks_mixed".into(), None, &[at_least_one(sink_a), at_least_one(sink_b)]);
        self.never("sink_over".into(), None, &[Allowed { var: sink_a, mask: !0b111 }]);
        for event in &mut self.form.events {
            event.pre.sort_unstable();
            event.pre.dedup();
        }
    }

    /// One mistake, as an author makes them.
    fn mistake(&mut self) {
        let events = self.form.events.len();
        let target = self.chance.below(events);
        match self.chance.below(6) {
            0 | 1 => self.jump_ahead(target),
            2 => {
                if let Some(part) = (!self.form.events[target].guard.is_empty()).then(|| self.chance.below(2))
                {
                    let guard = &mut self.form.events[target].guard;
                    guard.remove(part.min(guard.len() - 1));
                }
            }
            3 => {
                let effects = &mut self.form.events[target].eff;
                effects.pop();
            }
            4 => self.cross_kit(),
            _ => {
                let part = self.chance.below(self.form.goal.len());
                self.form.goal[part].mask ^= 0b11;
            }
        }
    }

    /// An event no longer waits for what comes right before it, only for what comes before that.
    fn jump_ahead(&mut self, target: EventId) {
        if self.form.events[target].nature {
            return;
        }
        let Some(dropped) = self.form.events[target].pre.pop() else { return };
        let mut pre = self.form.events[target].pre.clone();
        pre.extend(&self.form.events[dropped].pre);
        pre.sort_unstable();
        pre.dedup();
        self.form.events[target].pre = pre;
    }

    /// Two steps each hold what the other needs.
    fn cross_kit(&mut self) {
        let bucket = self.shared.bucket;
        let takes: Vec<EventId> = (0..self.form.events.len())
            .filter(|&event| {
                self.form.events[event].name.contains("wash_p")
                    && self.form.events[event].kind == EventKind::End
            })
            .collect();
        let taken = takes[self.chance.below(takes.len())];
        self.form.events[taken].guard.push(at_least_one(bucket));
    }
}
