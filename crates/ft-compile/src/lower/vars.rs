//! The variables of a machine: one for each thing that a step can change, on each side.

use std::collections::{BTreeMap, BTreeSet};

use ft_diag::Problem;
use ft_form::{Allowed, MAX_VALUES, Var, VarId, VarKind};
use ft_machine::{
    FactId, LineId, Liquid, Machine, Named, PartId, Procedure, SideId, SideRef, SinkId, Statement, Step,
    StepId, Subject, SwitchId, Target, ValveId, VesselId, Words,
};
use ft_units::{Volume, VolumeUnit};

use super::speak::{fill, frame, text, words};
use super::{Purpose, Variant};
use crate::codes;

/// What is lowered, and for whom.
#[derive(Clone, Copy)]
pub struct Scope<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The procedure.
    pub procedure: &'a Procedure,
    /// What it is for.
    pub purpose: Purpose,
    /// What is fitted and due.
    pub variant: &'a Variant,
    /// How many people.
    pub people: u32,
}

impl Scope<'_> {
    /// Whether an item exists in this variant.
    pub fn has(&self, named: &Named) -> bool {
        named.only_with.is_none_or(|option| self.variant.options.contains(&option))
    }

    /// The sides on which an item exists: `None` where it exists once.
    pub fn sides_of(&self, named: &Named) -> Vec<Option<SideId>> {
        if named.per_side { (0..self.machine.sides.len()).map(Some).collect() } else { vec![None] }
    }
}

/// Values of a part, in order.
pub mod part {
    /// On the machine, or a piece on its part.
    pub const FITTED: i32 = 0;
    /// Off the machine in one piece.
    pub const OFF: i32 = 1;
    /// Taken apart.
    pub const APART: i32 = 2;
    /// Washed.
    pub const WASHED: i32 = 3;
    /// Rinsed.
    pub const RINSED: i32 = 4;
    /// Sanitised.
    pub const SANITISED: i32 = 5;
    /// Air-drying in its slot.
    pub const IN_SLOT: i32 = 6;
    /// Lubricated, about to be fitted.
    pub const LUBRICATED: i32 = 7;
    /// Not to be found.
    pub const MISSING: i32 = 8;
    /// Their names.
    pub const NAMES: [&str; 9] =
        ["fitted", "off", "apart", "washed", "rinsed", "sanitised", "in slot", "lubricated", "missing"];
}

/// Values of an inside that is cleaned in place, in order.
pub mod inside {
    /// Product has been in it.
    pub const SOILED: i32 = 0;
    /// Cleaned.
    pub const CLEANED: i32 = 1;
    /// Rinsed.
    pub const RINSED: i32 = 2;
    /// Sanitised.
    pub const SANITISED: i32 = 3;
    /// Their names.
    pub const NAMES: [&str; 4] = ["soiled", "cleaned", "rinsed", "sanitised"];
}

/// What a variable is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    /// Position of a switch.
    Switch(SwitchId, Option<SideId>),
    /// Whether a valve is open.
    Valve(ValveId, Option<SideId>),
    /// Whether an end of a line is off.
    End(LineId, usize, Option<SideId>),
    /// Whether a vessel or line is under pressure.
    Pressure(Subject, Option<SideId>),
    /// What is in a vessel or line: 0 nothing, then [`Vars::liquids`].
    Contents(Subject, Option<SideId>),
    /// How much is in a vessel, in [`Vars::unit_litres`].
    Amount(VesselId, Option<SideId>),
    /// How clean an inside is.
    Inside(Subject, Option<SideId>),
    /// Whether what is in it has stood its contact time.
    Stood(Subject, Option<SideId>),
    /// Where kit that was taken hangs.
    Hung(VesselId, Option<SideId>),
    /// State of a part.
    Part(PartId, Option<SideId>),
    /// Value of a fact.
    Fact(FactId, Option<SideId>),
    /// The answer to a look.
    Answer(StepId, Option<SideId>),
    /// How much kit is free.
    Kit(VesselId),
    /// How much of the kit that was taken is in hand.
    Held(VesselId, Option<SideId>),
    /// How many loads a sink can still take.
    Sink(SinkId),
    /// How many people are free.
    People,
    /// Whether a conditional need is met.
    Gate(usize),
}

/// The values at the end of one procedure, from which the next begins.
pub type Snapshot = BTreeMap<Key, String>;

/// The variables and what they mean.
pub struct Vars {
    /// As the form has them.
    pub list: Vec<Var>,
    index: BTreeMap<Key, VarId>,
    /// What can be in a vessel: value 1 is the first.
    pub liquids: Vec<Liquid>,
    /// Litres for one step of an amount.
    pub unit_litres: f64,
}

impl Vars {
    /// The variables of a scope, with their values at the start.
    pub fn new(scope: &Scope<'_>, start: Option<&Snapshot>, problems: &mut Vec<Problem>) -> Self {
        let used = Used::of(scope);
        let liquids = liquids(scope);
        let unit_litres = unit(scope, &used, problems);
        let mut vars = Self { list: Vec::new(), index: BTreeMap::new(), liquids, unit_litres };
        vars.add_machine(scope, &used);
        vars.add_kit(scope, &used);
        vars.add_parts(scope);
        for (step, item) in scope.procedure.steps.iter().enumerate() {
            let answers = item.statements.iter().find_map(|statement| match statement {
                Statement::Look(_, findings) => Some(findings),
                _ => None,
            });
            if let Some(findings) = answers.filter(|_| scope.has(&item.named)) {
                let mut names = vec!["not yet seen".to_owned()];
                names.extend(findings.iter().map(|finding| finding.named.name.clone()));
                for side in step_sides(scope, step) {
                    let label =
                        Self::label(scope, &item.named, side, ("what is seen: {}", "lo que se ve: {}"));
                    vars.add(Key::Answer(step, side), label, &names, 0);
                }
            }
        }
        let people = scope.people as i32;
        vars.push(Key::People, "#people", Words::new(), (0, people, people), VarKind::Res, Vec::new());
        if let Some(start) = start {
            vars.begin_from(start);
        }
        vars
    }

    fn add_machine(&mut self, scope: &Scope<'_>, used: &Used) {
        let machine = scope.machine;
        for (id, item) in machine.switches.iter().enumerate().filter(|(_, item)| scope.has(&item.named)) {
            let names: Vec<String> = item.positions.iter().map(|position| position.name.clone()).collect();
            for side in scope.sides_of(&item.named) {
                let label = Self::label(scope, &item.named, side, ("{}", "{}"));
                self.add(Key::Switch(id, side), label, &names, item.starts as i32);
            }
        }
        for (id, item) in machine.valves.iter().enumerate().filter(|(_, item)| scope.has(&item.named)) {
            for side in scope.sides_of(&item.named) {
                let label = Self::label(scope, &item.named, side, ("{} valve", "válvula {}"));
                self.add_named(Key::Valve(id, side), label, &["shut", "open"], i32::from(item.open));
            }
        }
        for (id, item) in machine.lines.iter().enumerate().filter(|(_, item)| scope.has(&item.named)) {
            let subject = Subject::Line(id);
            for side in scope.sides_of(&item.named) {
                for (end, end_named) in item.ends.iter().enumerate() {
                    let label = words(&machine.languages, |language| {
                        let line = side_text(machine, &item.named, side, language);
                        fill(
                            frame(language, "{}, {} end", "{}, extremo {}"),
                            &[&line, text(end_named, language)],
                        )
                    });
                    self.add_named(Key::End(id, end, side), label, &["connected", "off"], 0);
                }
                if item.pressure {
                    self.add_pressure(scope, subject, &item.named, side);
                }
                if item.in_place {
                    self.add_inside(scope, subject, &item.named, side);
                    self.add_contents(scope, subject, &item.named, side, None);
                }
            }
        }
        for (id, item) in
            machine.vessels.iter().enumerate().filter(|(_, item)| scope.has(&item.named) && !item.kit)
        {
            let subject = Subject::Vessel(id);
            for side in scope.sides_of(&item.named) {
                self.add_contents(scope, subject, &item.named, side, item.holds.map(|(liquid, _)| liquid));
                let amount = item.holds.map_or(0.0, |(_, amount)| litres(amount));
                self.add_amount(scope, id, side, amount, used);
                if item.pressure {
                    self.add_pressure(scope, subject, &item.named, side);
                }
                if item.in_place {
                    self.add_inside(scope, subject, &item.named, side);
                }
            }
        }
        for (id, item) in machine.facts.iter().enumerate().filter(|(_, item)| scope.has(&item.named)) {
            let names: Vec<String> = item.values.iter().map(|value| value.name.clone()).collect();
            for side in scope.sides_of(&item.named) {
                let label = Self::label(scope, &item.named, side, ("{}", "{}"));
                self.add(Key::Fact(id, side), label, &names, item.starts as i32);
            }
        }
        if scope.purpose != Purpose::Opening {
            for (id, item) in machine.sinks.iter().enumerate() {
                let label = Self::label(scope, &item.named, None, ("{}, free", "{}, libre"));
                self.push(
                    Key::Sink(id),
                    &format!("#{}", item.named.name),
                    label,
                    (0, 1, 1),
                    VarKind::Res,
                    Vec::new(),
                );
            }
        }
    }

    fn add_kit(&mut self, scope: &Scope<'_>, used: &Used) {
        for (id, item) in
            scope.machine.vessels.iter().enumerate().filter(|(_, item)| scope.has(&item.named) && item.kit)
        {
            if !used.kit.iter().any(|(kit, _)| *kit == id) {
                continue;
            }
            let label = Self::label(scope, &item.named, None, ("{}, free", "{}, libre"));
            let count = item.count as i32;
            self.push(
                Key::Kit(id),
                &format!("#{}", item.named.name),
                label,
                (0, count, count),
                VarKind::Res,
                Vec::new(),
            );
            for &(_, side) in used.kit.iter().filter(|(kit, _)| *kit == id) {
                self.add_contents(scope, Subject::Vessel(id), &item.named, side, None);
                self.add_amount(scope, id, side, 0.0, used);
            }
            for &(_, side) in used.in_hand.iter().filter(|(kit, _)| *kit == id) {
                let label = Self::label(scope, &item.named, side, ("{}, in hand", "{}, en mano"));
                let name = label.values().next().cloned().unwrap_or_default();
                self.push(Key::Held(id, side), &name, label, (0, count, 0), VarKind::Num, Vec::new());
            }
        }
        for ((kit, side), places) in &used.hung {
            let item = &scope.machine.vessels[*kit];
            let mut names = vec!["not hung".to_owned()];
            names.extend(places.iter().cloned());
            let label = Self::label(scope, &item.named, *side, ("where the {} hangs", "dónde cuelga: {}"));
            self.add(Key::Hung(*kit, *side), label, &names, 0);
        }
    }

    fn add_parts(&mut self, scope: &Scope<'_>) {
        let names: Vec<String> = part::NAMES.iter().map(ToString::to_string).collect();
        for (id, item) in scope.machine.parts.iter().enumerate().filter(|(_, item)| scope.has(&item.named)) {
            for side in scope.sides_of(&item.named) {
                let label = Self::label(scope, &item.named, side, ("{}", "{}"));
                self.add(Key::Part(id, side), label, &names, part::FITTED);
            }
        }
    }

    fn add_contents(
        &mut self,
        scope: &Scope<'_>,
        subject: Subject,
        named: &Named,
        side: Option<SideId>,
        holds: Option<Liquid>,
    ) {
        let mut names = vec!["nothing".to_owned()];
        names.extend(self.liquids.iter().map(|liquid| liquid_name(scope.machine, *liquid, "")));
        let init = holds.map_or(0, |liquid| self.liquid_value(liquid));
        let label = Self::label(scope, named, side, ("what is in the {}", "contenido: {}"));
        self.add(Key::Contents(subject, side), label, &names, init);
        let sanitiser = scope.machine.solutions.iter().any(|solution| solution.contact.is_some());
        if sanitiser && !scope.machine.solutions.is_empty() {
            let label = Self::label(
                scope,
                named,
                side,
                ("contact time stood in the {}", "tiempo de contacto cumplido: {}"),
            );
            self.add_named(Key::Stood(subject, side), label, &["no", "yes"], 0);
        }
    }

    fn add_amount(
        &mut self,
        scope: &Scope<'_>,
        id: VesselId,
        side: Option<SideId>,
        amount: f64,
        used: &Used,
    ) {
        let item = &scope.machine.vessels[id];
        let capacity = self.units(litres(item.capacity));
        let most = self.units(used.most_added.get(&id).copied().unwrap_or(0.0));
        let hi = (capacity + most).min(MAX_VALUES - 1);
        let label = Self::label(scope, &item.named, side, ("how much is in the {}", "cantidad: {}"));
        let init = self.units(amount).min(hi);
        self.push(
            Key::Amount(id, side),
            &format!("{} amount", side_text(scope.machine, &item.named, side, "")),
            label,
            (0, hi, init),
            VarKind::Num,
            Vec::new(),
        );
    }

    fn add_pressure(&mut self, scope: &Scope<'_>, subject: Subject, named: &Named, side: Option<SideId>) {
        let label = Self::label(scope, named, side, ("pressure in the {}", "presión: {}"));
        self.add_named(Key::Pressure(subject, side), label, &["no", "yes"], 1);
    }

    fn add_inside(&mut self, scope: &Scope<'_>, subject: Subject, named: &Named, side: Option<SideId>) {
        let label = Self::label(scope, named, side, ("inside of the {}", "interior: {}"));
        self.add_named(Key::Inside(subject, side), label, &inside::NAMES, inside::SOILED);
    }

    fn label(scope: &Scope<'_>, named: &Named, side: Option<SideId>, frames: (&str, &str)) -> Words {
        words(&scope.machine.languages, |language| {
            fill(frame(language, frames.0, frames.1), &[&side_text(scope.machine, named, side, language)])
        })
    }

    fn add_named(&mut self, key: Key, words: Words, values: &[&str], init: i32) {
        let values: Vec<String> = values.iter().map(ToString::to_string).collect();
        self.add(key, words, &values, init);
    }

    fn add(&mut self, key: Key, words: Words, values: &[String], init: i32) {
        let name = words.values().next().cloned().unwrap_or_default();
        self.push(key, &name, words, (0, values.len() as i32 - 1, init), VarKind::Enum, values.to_vec());
    }

    /// Adds a variable; a name that is taken gets a number.
    pub fn push(
        &mut self,
        key: Key,
        name: &str,
        words: Words,
        range: (i32, i32, i32),
        kind: VarKind,
        vals: Vec<String>,
    ) {
        let (lo, hi, init) = range;
        let taken = |name: &str| self.list.iter().any(|var| var.name == name);
        let mut unique = name.to_owned();
        let mut number = 2;
        while taken(&unique) {
            unique = format!("{name} ({number})");
            number += 1;
        }
        self.index.insert(key, self.list.len());
        self.list.push(Var { name: unique, lo, hi, init, kind, vals, words });
    }

    fn begin_from(&mut self, start: &Snapshot) {
        for (key, value) in start {
            let Some(&var) = self.index.get(key) else { continue };
            let var = &mut self.list[var];
            if var.kind == VarKind::Res {
                continue;
            }
            let named = var.vals.iter().position(|name| name == value).map(|index| index as i32 + var.lo);
            if let Some(value) = named.or_else(|| value.parse().ok()) {
                var.init = value.clamp(var.lo, var.hi);
            }
        }
    }

    /// The variable for a key, if this scope has it.
    pub fn get(&self, key: Key) -> Option<VarId> {
        self.index.get(&key).copied()
    }

    /// Every key with its variable.
    pub fn keys(&self) -> impl Iterator<Item = (Key, VarId)> {
        self.index.iter().map(|(key, var)| (*key, *var))
    }

    /// The condition that a variable has one of some values, or none if it does not exist.
    pub fn one_of(&self, key: Key, values: &[i32]) -> Option<Allowed> {
        let var = self.get(key)?;
        let lo = self.list[var].lo;
        Some(Allowed { var, mask: values.iter().fold(0, |mask, value| mask | 1 << (value - lo)) })
    }

    /// The condition that a variable has none of some values.
    pub fn none_of(&self, key: Key, values: &[i32]) -> Option<Allowed> {
        let var = self.get(key)?;
        let (lo, hi) = (self.list[var].lo, self.list[var].hi);
        let others: Vec<i32> = (lo..=hi).filter(|value| !values.contains(value)).collect();
        self.one_of(key, &others)
    }

    /// The condition that a count or amount is at least `least`.
    pub fn at_least(&self, key: Key, least: i32) -> Option<Allowed> {
        let var = self.get(key)?;
        let (lo, hi) = (self.list[var].lo, self.list[var].hi);
        let values: Vec<i32> = (least.max(lo)..=hi).collect();
        self.one_of(key, &values)
    }

    /// The value of a liquid in a contents variable.
    pub fn liquid_value(&self, liquid: Liquid) -> i32 {
        self.liquids.iter().position(|known| *known == liquid).map_or(0, |index| index as i32 + 1)
    }

    /// A volume in whole steps, rounded up.
    pub fn units(&self, litres: f64) -> i32 {
        (litres / self.unit_litres - 1e-9).ceil().max(0.0) as i32
    }
}

/// The side that a target means in a step done for `side`.
pub fn side_of(target: Target, side: Option<SideId>) -> Option<SideId> {
    match target.side {
        SideRef::Shared => None,
        SideRef::This => side,
        SideRef::Of(side) => Some(side),
    }
}

/// The sides for which a step is done.
pub fn step_sides(scope: &Scope<'_>, step: StepId) -> Vec<Option<SideId>> {
    if scope.procedure.steps[step].each_side {
        (0..scope.machine.sides.len()).map(Some).collect()
    } else {
        vec![None]
    }
}

/// A name with its side, for people; with language `""` as the file has it.
pub fn side_text(machine: &Machine, named: &Named, side: Option<SideId>, language: &str) -> String {
    let name = text(named, language);
    match side {
        None => name.to_owned(),
        Some(side) => format!("{name} ({})", text(&machine.sides[side], language)),
    }
}

/// What a liquid is called; with language `""` as the file has it.
pub fn liquid_name(machine: &Machine, liquid: Liquid, language: &str) -> String {
    match liquid {
        Liquid::Water => frame(language, "water", "agua").to_owned(),
        Liquid::Waste => frame(language, "waste", "desecho").to_owned(),
        Liquid::Product(id) => text(&machine.products[id].named, language).to_owned(),
        Liquid::Solution(id) => text(&machine.solutions[id].named, language).to_owned(),
    }
}

/// A volume in litres.
pub fn litres(volume: Volume) -> f64 {
    volume.in_unit(VolumeUnit::Litre)
}

/// What the statements of a procedure use.
pub struct Used {
    kit: BTreeSet<(VesselId, Option<SideId>)>,
    /// Kit that is taken in one step and used or given back in another.
    in_hand: BTreeSet<(VesselId, Option<SideId>)>,
    hung: BTreeMap<(VesselId, Option<SideId>), BTreeSet<String>>,
    most_added: BTreeMap<VesselId, f64>,
    volumes: Vec<f64>,
}

impl Used {
    fn of(scope: &Scope<'_>) -> Self {
        let mut used = Self {
            kit: BTreeSet::new(),
            in_hand: BTreeSet::new(),
            hung: BTreeMap::new(),
            most_added: BTreeMap::new(),
            volumes: Vec::new(),
        };
        for vessel in scope.machine.vessels.iter().filter(|vessel| scope.has(&vessel.named)) {
            used.volumes.push(litres(vessel.capacity));
            used.volumes.extend(vessel.holds.iter().map(|(_, amount)| litres(*amount)));
        }
        for step in 0..scope.procedure.steps.len() {
            let item = &scope.procedure.steps[step];
            for side in step_sides(scope, step) {
                for &kit in &item.uses {
                    used.kit.insert((kit, side));
                }
                used.statements(scope, item, &item.statements, side);
            }
        }
        used
    }

    fn statements(&mut self, scope: &Scope<'_>, step: &Step, statements: &[Statement], side: Option<SideId>) {
        for statement in statements {
            let vessel = |target: &Target| match target.subject {
                Subject::Vessel(id) => Some(id),
                _ => None,
            };
            for target in vessels_named(statement) {
                if let Some(id) = vessel(&target).filter(|id| scope.machine.vessels[*id].kit) {
                    self.kit.insert((id, side_of(target, side)));
                    if !step.uses.contains(&id) {
                        self.in_hand.insert((id, side_of(target, side)));
                    }
                }
            }
            match statement {
                Statement::Hang(target, at) => {
                    if let (Some(id), Some(at)) = (vessel(target), at.values().next()) {
                        self.hung.entry((id, side_of(*target, side))).or_default().insert(at.clone());
                    }
                }
                Statement::Fill(target, _, amount) => {
                    if let Some(id) = vessel(target) {
                        let amount = amount.unwrap_or(scope.machine.vessels[id].capacity);
                        self.add(id, litres(amount));
                        self.volumes.push(litres(amount));
                    }
                }
                Statement::Pour(from, Some(into), amount) => {
                    if let (Some(from), Some(into)) = (vessel(from), vessel(into)) {
                        let most = amount.map_or(litres(scope.machine.vessels[from].capacity), litres);
                        self.add(into, most);
                        self.volumes.extend(amount.iter().map(|amount| litres(*amount)));
                    }
                }
                Statement::Look(_, findings) => {
                    for finding in findings {
                        self.statements(scope, step, &finding.statements, side);
                    }
                }
                Statement::Only(_, inner) => self.statements(scope, step, inner, side),
                _ => {}
            }
        }
    }

    fn add(&mut self, vessel: VesselId, litres: f64) {
        let most = self.most_added.entry(vessel).or_insert(0.0);
        *most = most.max(litres);
    }
}

/// Targets of a statement that may be vessels.
pub fn vessels_named(statement: &Statement) -> Vec<Target> {
    match statement {
        Statement::Fill(target, ..)
        | Statement::Take(target)
        | Statement::GiveBack(target)
        | Statement::Hang(target, _)
        | Statement::Lift(target)
        | Statement::Store(target, _)
        | Statement::Discard(target, _)
        | Statement::Stand(target, _)
        | Statement::Flush(target, _)
        | Statement::Pour(target, None, _) => vec![*target],
        Statement::Pour(from, Some(into), _) => vec![*from, *into],
        _ => Vec::new(),
    }
}

fn liquids(scope: &Scope<'_>) -> Vec<Liquid> {
    let machine = scope.machine;
    let mut liquids = vec![Liquid::Water, Liquid::Waste];
    liquids.extend((0..machine.products.len()).map(Liquid::Product));
    liquids.extend((0..machine.solutions.len()).map(Liquid::Solution));
    liquids
}

/// The step in which amounts are counted: the greatest common divisor of all volumes that are named, so that
/// counting is exact; coarser, and amounts rounded up, where that would give more values than a variable has.
fn unit(scope: &Scope<'_>, used: &Used, problems: &mut Vec<Problem>) -> f64 {
    let tenths_ml: Vec<u64> =
        used.volumes.iter().map(|litres| (litres * 10_000.0).round() as u64).filter(|&v| v > 0).collect();
    let common = tenths_ml.iter().copied().fold(0, gcd);
    let most_capacity = tenths_ml.iter().copied().max().unwrap_or(1);
    let most_added =
        used.most_added.values().map(|litres| (litres * 10_000.0).round() as u64).max().unwrap_or(0);
    let values = MAX_VALUES as u64 - 2;
    let needed = most_capacity + most_added;
    if common == 0 {
        return 1.0;
    }
    if needed / common <= values {
        return common as f64 / 10_000.0;
    }
    problems.push(
        Problem::warning(
            codes::TOO_FINE,
            scope.machine.named.span.clone(),
            format!("the volumes have no common step coarser than {} mL", common as f64 / 10.0),
        )
        .with_remedy(
            "write volumes in round steps; until then amounts are counted in larger steps and rounded up",
        ),
    );
    needed.div_ceil(values) as f64 / 10_000.0
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
