//! Each statement as a small change: what the hands need, what becomes of the machine, what would be hazardous.

use std::collections::BTreeSet;

use ft_form::{Allowed, Cond, Effect, Op};
use ft_machine::{
    Condition, Liquid, Lubricant, Named, PartId, SideId, SolutionKind, Statement, StepId, Subject,
    SwitchRole, Target, VesselId, Words,
};
use ft_units::TimeUnit;

use super::hazards;
use super::speak::{fill, frame, words};
use super::vars::{Key, Scope, Vars, inside, liquid_name, litres, part, side_of, side_text, vessels_named};
use super::wash;
use super::{Phase, Purpose};

/// A change that one statement makes.
#[derive(Debug, Clone, Default)]
pub struct Act {
    /// What must hold or the hands cannot do it.
    pub needs: Cond,
    /// What changes, in order; conditions are looked at before the act.
    pub effects: Vec<Effect>,
    /// What would make this act a hazard: name, sentence, condition before the act.
    pub hazards: Vec<(String, Words, Cond)>,
    /// The answer under which all of this applies, if it stands under one.
    pub under: Option<Allowed>,
}

/// A step's statements, flattened: acts, and what separates them.
#[derive(Debug, Clone)]
pub enum Piece {
    /// A change.
    Act(Act),
    /// A pause.
    Pause(Phase, f64),
    /// A look: the variable that holds the answer, and the answers in words.
    Look(ft_form::VarId, Vec<Words>),
}

/// Turns statements into pieces for one side.
pub struct Lowering<'a> {
    /// What is lowered.
    pub scope: &'a Scope<'a>,
    /// Its variables.
    pub vars: &'a Vars,
    /// The step.
    pub step: StepId,
    /// The side.
    pub side: Option<SideId>,
    /// What has been made so far.
    pub pieces: Vec<Piece>,
    under: Option<Allowed>,
    /// Kit that is in hand for certain, because this step took it.
    taken: BTreeSet<(VesselId, Option<SideId>)>,
}

impl<'a> Lowering<'a> {
    /// Nothing made yet.
    pub fn new(scope: &'a Scope<'a>, vars: &'a Vars, step: StepId, side: Option<SideId>) -> Self {
        Self { scope, vars, step, side, pieces: Vec::new(), under: None, taken: BTreeSet::new() }
    }

    /// Takes the kit that the whole step uses.
    pub fn uses(&mut self, id: VesselId) {
        self.taken.insert((id, self.side));
        self.push(kit(self.vars, id, -1));
    }

    /// Adds the pieces of a list of statements.
    pub fn statements(&mut self, statements: &[Statement]) {
        for statement in statements {
            self.statement(statement);
        }
    }

    fn statement(&mut self, statement: &Statement) {
        match statement {
            Statement::Switch(target, position) => self.switch(*target, *position),
            Statement::Open(target) => self.set_subject(*target, 1),
            Statement::Shut(target) => self.set_subject(*target, 0),
            Statement::Disconnect(target, end) => self.line_end(*target, *end, true),
            Statement::Connect(target, end) => self.line_end(*target, *end, false),
            Statement::TakeOff(target) => self.take_off(*target),
            Statement::Fit(target) => self.fit(*target),
            Statement::TakeApart(target) => self.take_apart(*target),
            Statement::PutTogether(target) => self.put_together(*target),
            Statement::Fill(target, liquid, amount) => {
                let litres_in = amount.map(litres);
                self.fill(*target, *liquid, litres_in);
            }
            Statement::Pour(from, into, amount) => self.pour(*from, *into, amount.map(litres)),
            Statement::Vent(target) => self.pressure(*target, 0),
            Statement::Charge(target) => self.pressure(*target, 1),
            Statement::Take(target) => self.take(*target),
            Statement::GiveBack(target) => self.give_back(*target),
            Statement::Hang(target, at) => self.hang(*target, at.values().next().map(String::as_str)),
            Statement::Lift(target) => self.hang(*target, None),
            Statement::Scrub(target, _, solution) => self.scrub(*target, solution.map(Liquid::Solution)),
            Statement::Flush(target, liquid) => self.flush(*target, *liquid),
            Statement::Lubricate(target) => self.lubricate(*target),
            Statement::Replace(target) => self.replace(*target),
            Statement::AlreadyOff(target) => self.part_becomes(*target, part::OFF),
            Statement::Missing(target) => self.part_becomes(*target, part::MISSING),
            Statement::Store(target, _) | Statement::Discard(target, _) => self.drain(*target),
            Statement::Wait(wait) => self.pause(wait),
            Statement::Stand(target, wait) => self.stand(*target, wait),
            Statement::Needs(condition) => self.needs(condition),
            Statement::Set(target, value) => self.set_subject(*target, *value as i32),
            Statement::Wash(targets, _) => self.wash(targets),
            Statement::Look(_, findings) => self.look(findings),
            Statement::Only(option, inner) => {
                if self.scope.variant.options.contains(option) {
                    self.statements(inner);
                }
            }
            Statement::Inspect(..) | Statement::Measure { .. } => self.push(Act::default()),
        }
    }

    /// Adds an act, under the answer that is being lowered.
    pub fn push(&mut self, mut act: Act) {
        act.under = self.under;
        self.pieces.push(Piece::Act(act));
    }

    fn set(&self, key: Key, value: i32) -> Option<Effect> {
        self.vars.get(key).map(|var| Effect { when: Vec::new(), var, op: Op::Set, c: value })
    }

    fn hazard(&self, number: &str, about: &str, when: Vec<Option<Allowed>>) -> Option<(String, Words, Cond)> {
        let when = when.into_iter().collect::<Option<Cond>>()?;
        let words = hazards::sentence(self.scope.machine, number, |_| about.to_owned());
        Some((hazards::id(number, about), words, when))
    }

    fn hazard_on(
        &self,
        number: &str,
        named: &Named,
        side: Option<SideId>,
        when: Vec<Option<Allowed>>,
    ) -> Option<(String, Words, Cond)> {
        let when = when.into_iter().collect::<Option<Cond>>()?;
        let machine = self.scope.machine;
        let words = hazards::sentence(machine, number, |language| side_text(machine, named, side, language));
        Some((hazards::id(number, &side_text(machine, named, side, "")), words, when))
    }

    fn named(&self, subject: Subject) -> &'a Named {
        let machine = self.scope.machine;
        match subject {
            Subject::Switch(id) => &machine.switches[id].named,
            Subject::Vessel(id) => &machine.vessels[id].named,
            Subject::Valve(id) => &machine.valves[id].named,
            Subject::Line(id) => &machine.lines[id].named,
            Subject::Part(id) => &machine.parts[id].named,
            Subject::Fact(id) => &machine.facts[id].named,
        }
    }

    fn switch(&mut self, target: Target, position: usize) {
        self.set_subject(target, position as i32);
    }

    fn set_subject(&mut self, target: Target, value: i32) {
        let side = side_of(target, self.side);
        let key = match target.subject {
            Subject::Switch(id) => Key::Switch(id, side),
            Subject::Valve(id) => Key::Valve(id, side),
            Subject::Fact(id) => Key::Fact(id, side),
            Subject::Part(id) => Key::Part(id, side),
            Subject::Vessel(_) | Subject::Line(_) => return,
        };
        let effects = self.set(key, value).into_iter().collect();
        self.push(Act { effects, ..Act::default() });
    }

    fn line_end(&mut self, target: Target, end: usize, off: bool) {
        let Subject::Line(id) = target.subject else { return };
        let key = Key::End(id, end, side_of(target, self.side));
        let needs = self.vars.one_of(key, &[i32::from(!off)]).into_iter().collect();
        let effects = self.set(key, i32::from(off)).into_iter().collect();
        self.push(Act { needs, effects, ..Act::default() });
    }

    fn pressure(&mut self, target: Target, on: i32) {
        let key = Key::Pressure(target.subject, side_of(target, self.side));
        let effects = self.set(key, on).into_iter().collect();
        self.push(Act { effects, ..Act::default() });
    }

    fn part_becomes(&mut self, target: Target, value: i32) {
        let Subject::Part(id) = target.subject else { return };
        let effects = self.set(Key::Part(id, side_of(target, self.side)), value).into_iter().collect();
        self.push(Act { effects, ..Act::default() });
    }

    /// The sides of another part that belong to this part on its side.
    fn with(&self, other: PartId, side: Option<SideId>) -> Vec<Option<SideId>> {
        let named = &self.scope.machine.parts[other].named;
        if !self.scope.has(named) {
            return Vec::new();
        }
        match side {
            Some(side) if named.per_side => vec![Some(side)],
            _ => self.scope.sides_of(named),
        }
    }

    /// H2 as a need: everything that it is behind or held by is off.
    fn take_off(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let item = &self.scope.machine.parts[id];
        let key = Key::Part(id, side);
        let mut needs: Cond = self.vars.one_of(key, &[part::FITTED]).into_iter().collect();
        for &other in item.behind.iter().chain(&item.held_by) {
            for other_side in self.with(other, side) {
                needs.extend(self.vars.none_of(Key::Part(other, other_side), &[part::FITTED]));
            }
        }
        let effects = self.set(key, part::OFF).into_iter().collect();
        let hazards = self.hands_in(id, side).into_iter().collect();
        self.push(Act { needs, effects, hazards, under: None });
    }

    /// H3 on an act: hands on a part that a switch can move.
    fn hands_in(&self, id: PartId, side: Option<SideId>) -> Option<(String, Words, Cond)> {
        let machine = self.scope.machine;
        for (switch, item) in machine.switches.iter().enumerate() {
            let moves =
                item.roles.iter().any(|role| matches!(role, SwitchRole::Moves(moved, _) if *moved == id));
            if moves {
                let switch_side = if item.named.per_side { side } else { None };
                let can_start = self.vars.none_of(Key::Switch(switch, switch_side), &[item.safe as i32]);
                return self.hazard_on("H3", &machine.parts[id].named, side, vec![can_start]);
            }
        }
        None
    }

    /// A part goes on: what goes on after it must not be on yet; H7 if it is not sanitised, H13 if it is dry.
    fn fit(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let machine = self.scope.machine;
        let side = side_of(target, self.side);
        let item = &machine.parts[id];
        let key = Key::Part(id, side);
        let whole = wash::pieces(machine, id).next().is_some_and(|_| self.scope.purpose == Purpose::Opening);
        let mut needs: Cond = if whole {
            self.vars.one_of(key, &[part::OFF]).into_iter().collect()
        } else {
            self.vars.none_of(key, &[part::FITTED, part::MISSING]).into_iter().collect()
        };
        for &other in item.behind.iter().chain(&item.held_by) {
            for other_side in self.with(other, side) {
                needs.extend(self.vars.none_of(Key::Part(other, other_side), &[part::FITTED]));
            }
        }
        let mut hazards = Vec::new();
        if item.food_contact && !whole && self.scope.purpose == Purpose::Opening {
            let unclean = self.vars.one_of(key, &[part::OFF, part::APART, part::WASHED, part::RINSED]);
            hazards.extend(self.hazard_on("H7", &item.named, side, vec![unclean]));
        }
        hazards.extend(self.dry(id, side));
        hazards.extend(self.hands_in(id, side));
        let effects = self.set(key, part::FITTED).into_iter().collect();
        self.push(Act { needs, effects, hazards, under: None });
    }

    /// H13: fitted dry where it needs lubricant.
    fn dry(&self, id: PartId, side: Option<SideId>) -> Option<(String, Words, Cond)> {
        let item = &self.scope.machine.parts[id];
        if self.scope.purpose != Purpose::Opening || !matches!(item.lubricant, Some(Lubricant::Kind(_))) {
            return None;
        }
        let dry = self.vars.none_of(Key::Part(id, side), &[part::LUBRICATED]);
        self.hazard_on("H13", &item.named, side, vec![dry])
    }

    fn lubricate(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let item = &self.scope.machine.parts[id];
        let key = Key::Part(id, side);
        let mut hazards = Vec::new();
        if item.lubricant == Some(Lubricant::Never) {
            hazards.extend(self.hazard_on("H13", &item.named, side, Vec::new()));
        }
        let needs = self.vars.none_of(key, &[part::FITTED, part::MISSING]).into_iter().collect();
        let effects = self.set(key, part::LUBRICATED).into_iter().collect();
        self.push(Act { needs, effects, hazards, under: None });
    }

    fn take_apart(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let key = Key::Part(id, side);
        let needs = self.vars.one_of(key, &[part::OFF]).into_iter().collect();
        let mut effects: Vec<Effect> = self.set(key, part::APART).into_iter().collect();
        for piece in wash::pieces(self.scope.machine, id)
            .filter(|piece| self.scope.has(&self.scope.machine.parts[*piece].named))
        {
            effects.extend(self.set(Key::Part(piece, side), part::OFF));
        }
        self.push(Act { needs, effects, ..Act::default() });
    }

    fn put_together(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let key = Key::Part(id, side);
        let mut needs: Cond =
            self.vars.none_of(key, &[part::FITTED, part::OFF, part::MISSING]).into_iter().collect();
        let mut effects: Vec<Effect> = self.set(key, part::OFF).into_iter().collect();
        let mut hazards = Vec::new();
        for piece in wash::pieces(self.scope.machine, id)
            .filter(|piece| self.scope.has(&self.scope.machine.parts[*piece].named))
        {
            needs.extend(self.vars.none_of(Key::Part(piece, side), &[part::FITTED, part::MISSING]));
            hazards.extend(self.dry(piece, side));
            effects.extend(self.set(Key::Part(piece, side), part::FITTED));
        }
        self.push(Act { needs, effects, hazards, under: None });
    }

    fn fill(&mut self, target: Target, liquid: Liquid, amount: Option<f64>) {
        let Subject::Vessel(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let amount = amount.unwrap_or(litres(self.scope.machine.vessels[id].capacity));
        let mut act = self.liquid_in(target.subject, side, liquid);
        act.needs.extend(self.in_hand(target));
        if let Some(var) = self.vars.get(Key::Amount(id, side)) {
            act.effects.push(Effect { when: Vec::new(), var, op: Op::Add, c: self.vars.units(amount) });
        }
        self.push(act);
    }

    /// What it means that a liquid gets into something: H5, H6, H7, H11, and what is in it afterwards.
    fn liquid_in(&self, subject: Subject, side: Option<SideId>, liquid: Liquid) -> Act {
        let contents = Key::Contents(subject, side);
        let inside_key = Key::Inside(subject, side);
        let named = self.named(subject);
        let mut act = Act::default();
        let hazard = |number, when| self.hazard_on(number, named, side, when);
        match liquid {
            Liquid::Product(_) => {
                let clean = if self.scope.purpose == Purpose::Opening {
                    self.vars.none_of(inside_key, &[inside::SANITISED])
                } else {
                    self.vars.none_of(inside_key, &[inside::SOILED])
                };
                act.hazards.extend(hazard("H5", vec![clean]));
                act.hazards.extend(hazard("H5", vec![self.vars.one_of(contents, &self.vars.chemicals())]));
                act.effects.extend(
                    self.set(inside_key, inside::SOILED).filter(|_| self.scope.purpose != Purpose::Opening),
                );
            }
            Liquid::Solution(id) => {
                act.hazards.extend(hazard("H5", vec![self.vars.one_of(contents, &self.vars.products())]));
                if self.scope.machine.solutions[id].kind == SolutionKind::Sanitiser {
                    let skipped = self.vars.one_of(inside_key, &[inside::SOILED, inside::CLEANED]);
                    act.hazards.extend(hazard("H7", vec![skipped]));
                }
                act.effects.extend(self.set(Key::Stood(subject, side), 0));
            }
            Liquid::Water | Liquid::Waste => {}
        }
        let enemies = self.vars.values(|other| never_meet(self.scope, liquid, other));
        if !enemies.is_empty() {
            act.hazards.extend(hazard("H6", vec![self.vars.one_of(contents, &enemies)]));
        }
        act.hazards.extend(self.wets(subject, side));
        act.effects.extend(self.set(contents, self.vars.liquid_value(liquid)));
        act
    }

    /// H11: it gets wet while a switch makes it live.
    fn wets(&self, subject: Subject, side: Option<SideId>) -> Vec<(String, Words, Cond)> {
        let mut found = Vec::new();
        for (switch, item) in self.scope.machine.switches.iter().enumerate() {
            for role in &item.roles {
                let positions = match (role, subject) {
                    (SwitchRole::LivePart(part, positions), Subject::Part(id)) if *part == id => positions,
                    (SwitchRole::LiveVessel(vessel, positions), Subject::Vessel(id)) if *vessel == id => {
                        positions
                    }
                    _ => continue,
                };
                let live: Vec<i32> = positions.iter().map(|position| *position as i32).collect();
                let switch_side = if item.named.per_side { side } else { None };
                let when = vec![self.vars.one_of(Key::Switch(switch, switch_side), &live)];
                found.extend(self.hazard_on("H11", self.named(subject), side, when));
            }
        }
        found
    }

    /// H8, and what leaving does for the inside: cleaner cleans, water rinses, sanitiser that has stood sanitises.
    fn liquid_out(&self, subject: Subject, side: Option<SideId>) -> Act {
        let contents = Key::Contents(subject, side);
        let stood = Key::Stood(subject, side);
        let inside_key = Key::Inside(subject, side);
        let mut act = Act::default();
        for solution in (0..self.scope.machine.solutions.len()).filter(|id| {
            let solution = &self.scope.machine.solutions[*id];
            solution.kind == SolutionKind::Sanitiser && solution.contact.is_some()
        }) {
            let value = self.vars.liquid_value(Liquid::Solution(solution));
            let when = vec![self.vars.one_of(contents, &[value]), self.vars.one_of(stood, &[0])];
            act.hazards.extend(self.hazard_on("H8", self.named(subject), side, when));
        }
        let Some(inside_var) = self.vars.get(inside_key) else { return act };
        let mut stage = |from: &[i32], liquids: Vec<i32>, with_stood: bool, to: i32| {
            let mut when: Cond = self.vars.one_of(contents, &liquids).into_iter().collect();
            when.extend(self.vars.one_of(inside_key, from));
            if with_stood {
                when.extend(self.vars.one_of(stood, &[1]));
            }
            if !liquids.is_empty() {
                act.effects.push(Effect { when, var: inside_var, op: Op::Set, c: to });
            }
        };
        let of_kind = |kind: SolutionKind| {
            self.vars.values(|liquid| matches!(liquid, Liquid::Solution(id) if self.scope.machine.solutions[id].kind == kind))
        };
        stage(
            &[inside::SOILED, inside::CLEANED, inside::RINSED, inside::SANITISED],
            of_kind(SolutionKind::Cleaner),
            false,
            inside::CLEANED,
        );
        stage(&[inside::CLEANED], vec![self.vars.liquid_value(Liquid::Water)], false, inside::RINSED);
        stage(&[inside::RINSED], of_kind(SolutionKind::Sanitiser), true, inside::SANITISED);
        act
    }

    /// All of a vessel's contents leave it for good.
    fn drain(&mut self, target: Target) {
        self.pour(target, None, None);
    }

    fn pour(&mut self, from: Target, into: Option<Target>, amount: Option<f64>) {
        let side = side_of(from, self.side);
        let subject = from.subject;
        let mut act = self.liquid_out(subject, side);
        act.needs.extend(self.in_hand(from));
        if let Some(into) = into {
            act.needs.extend(self.in_hand(into));
            self.pour_into(&mut act, subject, side, into, amount);
        }
        let Subject::Vessel(id) = subject else {
            act.effects.extend(self.set(Key::Contents(subject, side), 0));
            return self.push(act);
        };
        match (amount, self.vars.get(Key::Amount(id, side))) {
            (Some(amount), Some(var)) => {
                let units = self.vars.units(amount);
                act.effects.push(Effect { when: Vec::new(), var, op: Op::Add, c: -units });
                // What is left is nothing only if there was no more than this in it, and it has stood as long as before.
                let when = self.vars.one_of(
                    Key::Amount(id, side),
                    &(0..=units.min(self.vars.list[var].hi)).collect::<Vec<_>>(),
                );
                if let Some(contents) = self.vars.get(Key::Contents(subject, side)) {
                    act.effects.push(Effect {
                        when: when.into_iter().collect(),
                        var: contents,
                        op: Op::Set,
                        c: 0,
                    });
                }
            }
            (_, amount) => {
                act.effects.extend(amount.map(|var| Effect { when: Vec::new(), var, op: Op::Set, c: 0 }));
                act.effects.extend(self.set(Key::Contents(subject, side), 0));
                act.effects.extend(self.set(Key::Stood(subject, side), 0));
            }
        }
        self.push(act);
    }

    fn pour_into(
        &self,
        act: &mut Act,
        from: Subject,
        from_side: Option<SideId>,
        into: Target,
        amount: Option<f64>,
    ) {
        let Subject::Vessel(into_id) = into.subject else { return };
        let into_side = side_of(into, self.side);
        let from_contents = Key::Contents(from, from_side);
        for (index, &liquid) in self.vars.liquids.iter().enumerate() {
            let is = self.vars.one_of(from_contents, &[index as i32 + 1]);
            let Some(is) = is else { continue };
            let arriving = self.liquid_in(into.subject, into_side, liquid);
            act.effects.extend(arriving.effects.into_iter().map(|mut effect| {
                effect.when.push(is);
                effect
            }));
            act.hazards.extend(arriving.hazards.into_iter().map(|(id, words, mut when)| {
                when.push(is);
                let about = liquid_name(self.scope.machine, liquid, "");
                (format!("{id}, {about}"), words, when)
            }));
        }
        let Some(var) = self.vars.get(Key::Amount(into_id, into_side)) else { return };
        if let Some(amount) = amount {
            act.effects.push(Effect { when: Vec::new(), var, op: Op::Add, c: self.vars.units(amount) });
        } else if let Subject::Vessel(from_id) = from {
            let Some(from_var) = self.vars.get(Key::Amount(from_id, from_side)) else { return };
            for amount in 1..=self.vars.list[from_var].hi {
                let when = self.vars.one_of(Key::Amount(from_id, from_side), &[amount]).into_iter().collect();
                act.effects.push(Effect { when, var, op: Op::Add, c: amount });
            }
        }
    }

    fn scrub(&mut self, target: Target, liquid: Option<Liquid>) {
        let side = side_of(target, self.side);
        let mut act = Act { hazards: self.wets(target.subject, side), ..Act::default() };
        if let Subject::Part(id) = target.subject {
            act.hazards.extend(self.hands_in(id, side));
        }
        if let Some(liquid) = liquid {
            let contents = Key::Contents(target.subject, side);
            let product = vec![self.vars.one_of(contents, &self.vars.products())];
            act.hazards.extend(self.hazard_on("H5", self.named(target.subject), side, product));
            let enemies = self.vars.values(|other| never_meet(self.scope, liquid, other));
            let meets = vec![self.vars.one_of(contents, &enemies).filter(|_| !enemies.is_empty())];
            act.hazards.extend(self.hazard_on("H6", self.named(target.subject), side, meets));
            act.effects.extend(self.set(Key::Inside(target.subject, side), inside::CLEANED));
        }
        self.push(act);
    }

    /// A flush pushes out what was in it, takes its place, and does its stage at once; a sanitiser still has to
    /// stand.
    fn flush(&mut self, target: Target, liquid: Liquid) {
        let side = side_of(target, self.side);
        let subject = target.subject;
        let leaving = self.liquid_out(subject, side);
        let mut act = self.liquid_in(subject, side, liquid);
        act.hazards.extend(leaving.hazards);
        let inside_key = Key::Inside(subject, side);
        if let Some(var) = self.vars.get(inside_key) {
            let step = |from: &[i32], to: i32| Effect {
                when: self.vars.one_of(inside_key, from).into_iter().collect(),
                var,
                op: Op::Set,
                c: to,
            };
            match liquid {
                Liquid::Water => act.effects.push(step(&[inside::CLEANED], inside::RINSED)),
                Liquid::Solution(id) if self.scope.machine.solutions[id].kind == SolutionKind::Cleaner => {
                    act.effects.extend(self.set(inside_key, inside::CLEANED));
                }
                Liquid::Solution(_) | Liquid::Product(_) | Liquid::Waste => {}
            }
        }
        // A line has no amount: cleaner and water are through and gone; a sanitiser stays in it until it has stood.
        let stays = matches!(liquid, Liquid::Solution(id) if self.scope.machine.solutions[id].kind == SolutionKind::Sanitiser);
        if matches!(subject, Subject::Line(_)) && !stays {
            act.effects.extend(self.set(Key::Contents(subject, side), 0));
        }
        self.push(act);
    }

    /// A spare takes the place of a part that is off, or not to be found.
    fn replace(&mut self, target: Target) {
        let Subject::Part(id) = target.subject else { return };
        let key = Key::Part(id, side_of(target, self.side));
        let needs = self.vars.none_of(key, &[part::FITTED]).into_iter().collect();
        let effects = self.set(key, part::OFF).into_iter().collect();
        self.push(Act { needs, effects, ..Act::default() });
    }

    fn take(&mut self, target: Target) {
        let Subject::Vessel(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let mut act = kit(self.vars, id, -1);
        act.effects.extend(self.held(id, side, 1));
        self.push(act);
        if self.under.is_none() {
            self.taken.insert((id, side));
        }
    }

    fn give_back(&mut self, target: Target) {
        let Subject::Vessel(id) = target.subject else { return };
        let side = side_of(target, self.side);
        let mut act = kit(self.vars, id, 1);
        act.needs.extend(self.in_hand(target));
        act.needs.extend(self.vars.one_of(Key::Contents(target.subject, side), &[0]));
        act.effects.extend(self.held(id, side, -1));
        self.push(act);
        self.taken.remove(&(id, side));
    }

    fn held(&self, id: VesselId, side: Option<SideId>, change: i32) -> Option<Effect> {
        let var = self.vars.get(Key::Held(id, side))?;
        Some(Effect { when: Vec::new(), var, op: Op::Add, c: change })
    }

    /// Kit that every answer goes on with is needed before the look, rather than once for each answer.
    fn in_hand_for_all(&mut self, findings: &[ft_machine::Finding]) {
        let touched = |finding: &ft_machine::Finding| -> Vec<Target> {
            let not_taken = |statement: &&Statement| !matches!(statement, Statement::Take(_));
            finding.statements.iter().filter(not_taken).flat_map(vessels_named).collect()
        };
        let Some((first, others)) = findings.split_first() else { return };
        for target in touched(first) {
            let everywhere = others.iter().all(|finding| touched(finding).contains(&target));
            if let (true, Subject::Vessel(id), Some(need)) =
                (everywhere, target.subject, self.in_hand(target))
            {
                self.push(Act { needs: vec![need], ..Act::default() });
                self.taken.insert((id, side_of(target, self.side)));
            }
        }
    }

    /// The need that kit is in hand before anything is done with it.
    fn in_hand(&self, target: Target) -> Option<Allowed> {
        let Subject::Vessel(id) = target.subject else { return None };
        let side = side_of(target, self.side);
        self.vars.at_least(Key::Held(id, side), 1).filter(|_| !self.taken.contains(&(id, side)))
    }

    fn hang(&mut self, target: Target, at: Option<&str>) {
        let Subject::Vessel(id) = target.subject else { return };
        let key = Key::Hung(id, side_of(target, self.side));
        let needs: Cond = self.in_hand(target).into_iter().collect();
        let Some(var) = self.vars.get(key) else { return self.push(Act { needs, ..Act::default() }) };
        let value =
            at.and_then(|at| self.vars.list[var].vals.iter().position(|known| known == at)).unwrap_or(0);
        let effects = self.set(key, value as i32).into_iter().collect();
        self.push(Act { needs, effects, ..Act::default() });
    }

    fn pause(&mut self, wait: &ft_machine::Wait) {
        let seconds = wait.time.in_unit(TimeUnit::Second);
        let phase = if wait.unattended { Phase::Alone(seconds) } else { Phase::Watch(seconds) };
        self.pieces.push(Piece::Pause(phase, wait.then.in_unit(TimeUnit::Second)));
        self.warm_too_long(seconds);
    }

    /// H12: product has stood uncooled through a pause that is longer than it may.
    fn warm_too_long(&mut self, seconds: f64) {
        let machine = self.scope.machine;
        let mut hazards = Vec::new();
        for (id, vessel) in
            machine.vessels.iter().enumerate().filter(|(_, vessel)| self.scope.has(&vessel.named))
        {
            let Some(limit) = vessel.out_of_cold.filter(|limit| limit.in_unit(TimeUnit::Second) < seconds)
            else {
                continue;
            };
            let _ = limit;
            let subject = Subject::Vessel(id);
            let kit_sides: Vec<Option<SideId>> =
                if vessel.kit { vec![self.side] } else { self.scope.sides_of(&vessel.named) };
            for side in kit_sides {
                let mut when = vec![self.vars.one_of(Key::Contents(subject, side), &self.vars.products())];
                for (switch, item) in machine.switches.iter().enumerate() {
                    for role in &item.roles {
                        if let SwitchRole::Cools(cooled, positions) = role
                            && *cooled == id
                        {
                            let cold: Vec<i32> = positions.iter().map(|position| *position as i32).collect();
                            let switch_side = if item.named.per_side { side } else { None };
                            when.push(self.vars.none_of(Key::Switch(switch, switch_side), &cold));
                        }
                    }
                }
                hazards.extend(self.hazard_on("H12", &vessel.named, side, when));
            }
        }
        if !hazards.is_empty() {
            self.push(Act { hazards, ..Act::default() });
        }
    }

    /// H8: it does not stand, it runs out, while a valve lets it.
    fn runs_out(&self, subject: Subject, side: Option<SideId>) -> Vec<(String, Words, Cond)> {
        let machine = self.scope.machine;
        let sanitiser = self.vars.values(|liquid| {
            matches!(liquid, Liquid::Solution(id) if machine.solutions[id].kind == SolutionKind::Sanitiser)
        });
        let of_it = |valve: &ft_machine::Valve| {
            Subject::Vessel(valve.from) == subject && self.scope.has(&valve.named)
        };
        let valves = machine.valves.iter().enumerate().filter(|(_, valve)| of_it(valve));
        valves
            .filter_map(|(id, valve)| {
                let valve_side = if valve.named.per_side { side } else { None };
                let open = self.vars.one_of(Key::Valve(id, valve_side), &[1]);
                let inside = self.vars.one_of(Key::Contents(subject, side), &sanitiser);
                self.hazard_on("H8", &valve.named, valve_side, vec![open, inside])
            })
            .collect()
    }

    fn stand(&mut self, target: Target, wait: &ft_machine::Wait) {
        let hazards = self.runs_out(target.subject, side_of(target, self.side));
        if !hazards.is_empty() {
            self.push(Act { hazards, ..Act::default() });
        }
        self.pause(wait);
        let side = side_of(target, self.side);
        let subject = target.subject;
        let seconds = wait.time.in_unit(TimeUnit::Second);
        let long_enough = self.vars.values(|liquid| match liquid {
            Liquid::Solution(id) => self.scope.machine.solutions[id]
                .contact
                .is_none_or(|contact| contact.in_unit(TimeUnit::Second) <= seconds),
            _ => false,
        });
        let contents = Key::Contents(subject, side);
        let mut effects = Vec::new();
        if let (Some(stood), Some(when)) =
            (self.vars.get(Key::Stood(subject, side)), self.vars.one_of(contents, &long_enough))
        {
            effects.push(Effect { when: vec![when], var: stood, op: Op::Set, c: 1 });
        }
        // A line is not drained by a step of its own: standing its time is what sanitises it.
        if let (Subject::Line(_), Some(inside_var)) = (subject, self.vars.get(Key::Inside(subject, side))) {
            let sanitisers = self.vars.values(|liquid| {
                matches!(liquid, Liquid::Solution(id)
                if self.scope.machine.solutions[id].kind == SolutionKind::Sanitiser)
            });
            let enough: Vec<i32> =
                sanitisers.into_iter().filter(|value| long_enough.contains(value)).collect();
            let mut when: Cond = self.vars.one_of(contents, &enough).into_iter().collect();
            when.extend(self.vars.one_of(Key::Inside(subject, side), &[inside::RINSED]));
            effects.push(Effect { when, var: inside_var, op: Op::Set, c: inside::SANITISED });
        }
        self.push(Act { effects, ..Act::default() });
    }

    fn needs(&mut self, condition: &Condition) {
        let needs = self.vars.condition(condition, self.side).into_iter().collect();
        self.push(Act { needs, ..Act::default() });
    }

    /// An author's own load, H9 and H13 included.
    fn wash(&mut self, targets: &[Target]) {
        let machine = self.scope.machine;
        let mut act = Act::default();
        let mut classes = Vec::new();
        for target in targets {
            let Subject::Part(id) = target.subject else { continue };
            let side = side_of(*target, self.side);
            let key = Key::Part(id, side);
            classes.push(wash::class(&machine.parts[id]));
            act.needs.extend(self.vars.none_of(key, &[part::FITTED]));
            act.effects.extend(self.set(key, part::WASHED));
            for piece in wash::pieces(machine, id) {
                let left_on = vec![self.vars.one_of(Key::Part(piece, side), &[part::FITTED])];
                act.hazards.extend(self.hazard_on("H13", &machine.parts[piece].named, side, left_on));
            }
        }
        if classes.iter().any(|class| *class != classes[0]) {
            let title = side_text(machine, &self.scope.procedure.steps[self.step].named, self.side, "");
            act.hazards.extend(self.hazard("H9", &title, Vec::new()));
        }
        self.push(act);
    }

    fn look(&mut self, findings: &[ft_machine::Finding]) {
        let Some(var) = self.vars.get(Key::Answer(self.step, self.side)) else { return };
        let machine = self.scope.machine;
        let answers = findings
            .iter()
            .map(|finding| {
                words(&machine.languages, |language| {
                    fill(
                        frame(language, "It is found: {}.", "Se encuentra: {}."),
                        &[super::speak::text(&finding.named, language)],
                    )
                })
            })
            .collect();
        self.in_hand_for_all(findings);
        self.pieces.push(Piece::Look(var, answers));
        for (index, finding) in findings.iter().enumerate() {
            self.under = Some(Allowed { var, mask: 1 << (index + 1) });
            self.statements(&finding.statements);
        }
        self.under = None;
    }
}

/// One piece of kit is taken (-1) or given back (1).
pub fn kit(vars: &Vars, id: ft_machine::VesselId, change: i32) -> Act {
    let key = Key::Kit(id);
    let Some(var) = vars.get(key) else { return Act::default() };
    let needs = if change < 0 { vars.at_least(key, 1).into_iter().collect() } else { Vec::new() };
    Act { needs, effects: vec![Effect { when: Vec::new(), var, op: Op::Add, c: change }], ..Act::default() }
}

/// Whether two liquids must never meet, by the name of the solution or of its active substance.
fn never_meet(scope: &Scope<'_>, a: Liquid, b: Liquid) -> bool {
    let (Liquid::Solution(a), Liquid::Solution(b)) = (a, b) else { return false };
    let solutions = &scope.machine.solutions;
    let forbids = |a: usize, b: usize| {
        solutions[a].never_meets.iter().any(|enemy| {
            *enemy == solutions[b].named.name || solutions[b].active.as_deref() == Some(enemy.as_str())
        })
    };
    a != b && (forbids(a, b) || forbids(b, a))
}
