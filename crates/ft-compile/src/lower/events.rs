//! Joins a step's changes into as few events as is sound, and puts them on the card's lanes.
//!
//! Two changes become one event only if nothing can be seen between them: no hazard looks at what the first
//! changed together with what the second changes, and nothing of the second depends on a change that is not
//! known for certain. Otherwise each is an event of its own, so that the moment between them is proved too.

use std::collections::{BTreeMap, BTreeSet};

use ft_diag::Problem;
use ft_form::{
    Allowed, Asked, Cond, Effect, Event, EventId, EventKind, Form, Hazard, Op, Var, VarId, Words, allows,
};
use ft_machine::{CardOrder, PartId, SideId, Statement, Step, StepId, Subject};
use ft_units::TimeUnit;

use super::acts::{Act, Lowering, Piece, kit};
use super::gates::Gate;
use super::speak::{fill, frame, words};
use super::vars::{Key, Scope, Vars, part, side_text, step_sides};
use super::{Load, Phase, Task, TaskFrom, gates, goal, hazards, values, wash};
use crate::codes;

/// A change in the making: one event of a step.
#[derive(Debug, Clone, Default)]
pub struct Draft {
    needs: Cond,
    needs_under: Vec<(Allowed, Cond)>,
    effects: Vec<Effect>,
    hazards: Vec<(String, Words, Cond)>,
    changed: BTreeMap<VarId, Vec<Change>>,
    has_act: bool,
    before: Option<Between>,
}

/// What a draft does to a variable.
#[derive(Debug, Clone, Copy)]
struct Change {
    /// The answer under which it does so, if it stands under one.
    under: Option<Allowed>,
    /// The new value, where it is certain.
    value: Option<i32>,
}

/// What is known of a variable in the middle of a draft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    /// It is as it was before the draft.
    Before,
    /// It has this value.
    Value(i32),
    /// It depends.
    Unknown,
}

/// What separates an event from the one before it.
#[derive(Debug, Clone)]
enum Between {
    Nothing,
    Pause(Phase),
    Look(VarId, Vec<Words>),
}

/// Collects events.
pub struct Builder<'a> {
    /// What is lowered.
    pub scope: &'a Scope<'a>,
    /// Its variables.
    pub vars: Vars,
    state_hazards: Vec<Hazard>,
    act_hazards: Vec<Hazard>,
    /// Events so far.
    pub events: Vec<Event>,
    tasks: Vec<Task>,
    lanes: Vec<Option<EventId>>,
    sink_lane: Option<EventId>,
    instances: BTreeMap<(StepId, Option<SideId>), EventId>,
    gates: Vec<Gate>,
    /// Parts that some statement says may not be found.
    pub may_go_missing: BTreeSet<(PartId, Option<SideId>)>,
}

/// What is the same for all events of a task.
pub struct Head {
    /// The step's unique name.
    pub name: String,
    /// Its words.
    pub words: Words,
    /// Hands.
    pub people: u32,
    /// What it comes from.
    pub from: TaskFrom,
    /// Its side.
    pub side: Option<SideId>,
}

impl<'a> Builder<'a> {
    /// Nothing built yet.
    pub fn new(scope: &'a Scope<'a>, vars: Vars, state_hazards: Vec<Hazard>) -> Self {
        let lanes = vec![None; scope.machine.sides.len().max(1)];
        Self {
            scope,
            vars,
            state_hazards,
            act_hazards: Vec::new(),
            events: Vec::new(),
            tasks: Vec::new(),
            lanes,
            sink_lane: None,
            instances: BTreeMap::new(),
            gates: Vec::new(),
            may_go_missing: wash::may_go_missing(scope),
        }
    }

    /// Adds a step for each of its sides.
    pub fn step(&mut self, step: StepId, problems: &mut Vec<Problem>) {
        let item = &self.scope.procedure.steps[step];
        if !self.scope.has(&item.named) || (item.every.is_some() && !self.scope.variant.due) {
            return;
        }
        for side in step_sides(self.scope, step) {
            let mut lowering = Lowering::new(self.scope, &self.vars, step, side);
            for &used in &item.uses {
                lowering.uses(used);
            }
            lowering.statements(&item.statements);
            for &used in &item.uses {
                let mut back = kit(lowering.vars, used, 1);
                back.needs.extend(lowering.vars.one_of(Key::Contents(Subject::Vessel(used), side), &[0]));
                lowering.push(back);
            }
            let pieces = lowering.pieces;
            let drafts = self.join(&pieces, item, problems);
            let head = Head {
                name: side_text(self.scope.machine, &item.named, side, ""),
                words: words(&self.scope.machine.languages, |language| self.spoken(item, side, language)),
                people: item.people,
                from: TaskFrom::Step(step),
                side,
            };
            let mut before = self.lane_pre(side);
            let asked = self.asked(item, side);
            before.extend(asked.iter().map(|asked| asked.before));
            let pauses = pauses(&drafts);
            let events = self.add(&head, &drafts, before, &asked);
            let last = *events.last().expect("a step has at least one event");
            self.instances.insert((step, side), last);
            self.enter_lane(side, last);
            let task = self.step_task(item, &pieces, events, &head);
            self.tasks.push(Task { pauses, ..task });
        }
    }

    fn spoken(&self, item: &Step, side: Option<SideId>, language: &str) -> String {
        let title = side_text(self.scope.machine, &item.named, side, language);
        let reasons = item.statements.iter().filter_map(|statement| match statement {
            Statement::Discard(_, because) => because.get(language),
            _ => None,
        });
        let told: Vec<&str> = item.say.get(language).into_iter().chain(reasons).map(String::as_str).collect();
        if told.is_empty() { title } else { format!("{title}: {}", told.join(" ")) }
    }

    fn lane_pre(&self, side: Option<SideId>) -> Vec<EventId> {
        if self.scope.procedure.order == CardOrder::Free {
            return Vec::new();
        }
        match side {
            Some(side) => self.lanes[side].into_iter().collect(),
            None => self.lanes.iter().flatten().copied().collect(),
        }
    }

    fn enter_lane(&mut self, side: Option<SideId>, event: EventId) {
        match side {
            Some(side) => self.lanes[side] = Some(event),
            None => self.lanes.fill(Some(event)),
        }
    }

    fn asked(&self, item: &Step, side: Option<SideId>) -> Vec<Asked> {
        let mut asked = Vec::new();
        for (before, because) in &item.after {
            let same_side = self.instances.get(&(*before, side)).filter(|_| side.is_some());
            let instances: Vec<EventId> = match same_side {
                Some(&event) => vec![event],
                None => self
                    .instances
                    .iter()
                    .filter(|((step, _), _)| step == before)
                    .map(|(_, event)| *event)
                    .collect(),
            };
            asked.extend(instances.into_iter().map(|before| Asked { before, because: because.clone() }));
        }
        asked
    }

    /// Joins pieces to drafts.
    fn join(&self, pieces: &[Piece], item: &Step, problems: &mut Vec<Problem>) -> Vec<Draft> {
        let mut drafts = Vec::new();
        let mut draft = Draft::default();
        for piece in pieces {
            match piece {
                Piece::Act(act) => {
                    if draft.has_act && !self.can_join(&draft, act) {
                        drafts.push(std::mem::take(&mut draft));
                        draft.before = Some(Between::Nothing);
                    }
                    self.take_in(&mut draft, act, item, problems);
                }
                Piece::Pause(phase, _) => {
                    drafts.push(std::mem::take(&mut draft));
                    draft.before = Some(Between::Pause(*phase));
                }
                Piece::Look(var, answers) => {
                    drafts.push(std::mem::take(&mut draft));
                    draft.before = Some(Between::Look(*var, answers.clone()));
                }
            }
        }
        drafts.push(draft);
        drafts
    }

    fn can_join(&self, draft: &Draft, act: &Act) -> bool {
        let unknown =
            |cond: &[Allowed]| cond.iter().any(|part| draft.seen(part.var, act.under) == Seen::Unknown);
        if unknown(&act.needs)
            || act.effects.iter().any(|effect| unknown(&effect.when))
            || act.hazards.iter().any(|(_, _, when)| unknown(when))
        {
            return false;
        }
        let next: BTreeSet<VarId> = act.effects.iter().map(|effect| effect.var).collect();
        !self.state_hazards.iter().any(|hazard| {
            hazard.when.iter().any(|part| draft.changed.contains_key(&part.var))
                && hazard.when.iter().any(|part| next.contains(&part.var))
        })
    }

    /// Takes an act into a draft, with what the draft has already made certain worked out.
    fn take_in(&self, draft: &mut Draft, act: &Act, item: &Step, problems: &mut Vec<Problem>) {
        draft.has_act = true;
        let before = draft.clone();
        // Whether a part holds for certain, fails for certain, or is still open.
        let certain = |part: &Allowed| match before.seen(part.var, act.under) {
            Seen::Value(value) => Some(allows(&self.vars.list[part.var], part.mask, value)),
            Seen::Before | Seen::Unknown => None,
        };
        let settle = |cond: &[Allowed]| -> Option<Cond> {
            let mut open = Vec::new();
            for part in cond {
                match certain(part) {
                    Some(true) => {}
                    Some(false) => return None,
                    None => open.push(*part),
                }
            }
            Some(open)
        };
        if let Some(open) = settle(&act.needs) {
            match act.under {
                None => draft.needs.extend(open),
                Some(under) if !open.is_empty() => draft.needs_under.push((under, open)),
                Some(_) => {}
            }
        } else {
            let undone = act.needs.iter().find(|part| certain(part) == Some(false));
            problems.push(contradiction(&self.vars.list, undone, &before, act, item));
        }
        for (id, words, when) in &act.hazards {
            if let Some(mut when) = settle(when) {
                when.extend(act.under);
                draft.hazards.push((id.clone(), words.clone(), when));
            }
        }
        for effect in &act.effects {
            let Some(mut when) = settle(&effect.when) else { continue };
            let value = (when.is_empty() && effect.op == Op::Set).then_some(effect.c);
            when.extend(act.under);
            draft.changed.entry(effect.var).or_default().push(Change { under: act.under, value });
            draft.effects.push(Effect { when, ..effect.clone() });
        }
    }

    /// Adds the events of a task: its own drafts, and the world's answers to its looks.
    pub fn add(
        &mut self,
        head: &Head,
        drafts: &[Draft],
        before: Vec<EventId>,
        asked: &[Asked],
    ) -> Vec<EventId> {
        let count = drafts.len();
        let mut made = Vec::new();
        let mut pre = before;
        let mut holding = false;
        for index in 0..count {
            let draft = &drafts[index];
            if let Some(Between::Look(var, answers)) = &draft.before {
                let last = *made.last().expect("a look follows an event");
                pre = self.answers(head, *var, answers, last);
            }
            let name = event_name(&head.name, index, count);
            let kind = match (index, count) {
                (0, 1) => EventKind::Do,
                (0, _) => EventKind::Start,
                _ if index + 1 == count => EventKind::End,
                _ => EventKind::Do,
            };
            let mut event = Event::new(name, &head.name, kind);
            event.pre = pre;
            if index == 0 {
                event.asked = asked.to_vec();
            }
            event.words = phrase(&head.words, index, count);
            event.side = head.side.map(|side| self.scope.machine.sides[side].name.clone());
            event.guard.clone_from(&draft.needs);
            event.eff.clone_from(&draft.effects);
            let free_after = drafts
                .get(index + 1)
                .is_none_or(|next| matches!(next.before, Some(Between::Pause(Phase::Alone(_)))));
            self.bind(&mut event, head.people, &mut holding, index == 0 || draft.has_act, free_after);
            event.pre.sort_unstable();
            event.pre.dedup();
            merge_guard(&mut event.guard);
            let id = self.events.len();
            self.events.push(event);
            for (needs_under, needs) in &draft.needs_under {
                self.gates.push(Gate { event: id, under: *needs_under, needs: needs.clone() });
            }
            for (hazard, words, when) in &draft.hazards {
                self.act_hazard(hazard, words, when, id, &head.name);
            }
            made.push(id);
            pre = vec![id];
        }
        made
    }

    /// Binds and frees people: from an event that needs hands to the last one before the hands are free.
    fn bind(&self, event: &mut Event, people: u32, holding: &mut bool, hands: bool, free_after: bool) {
        let Some(var) = self.vars.get(Key::People) else { return };
        let people_i = people as i32;
        let change = |c: i32| Effect { when: Vec::new(), var, op: Op::Add, c };
        if hands {
            event.people = Some(people);
        }
        if hands && !*holding {
            event.guard.extend(self.vars.at_least(Key::People, people_i));
            if !free_after {
                event.eff.push(change(-people_i));
                *holding = true;
            }
        } else if *holding && free_after {
            event.eff.push(change(people_i));
            *holding = false;
        }
    }

    fn answers(&mut self, head: &Head, var: VarId, answers: &[Words], after: EventId) -> Vec<EventId> {
        let mut made = Vec::new();
        for (index, said) in answers.iter().enumerate() {
            let answer = self.vars.list[var].vals[index + 1].clone();
            let mut event = Event::new(format!("{} → {answer}", head.name), &head.name, EventKind::Do);
            event.pre = vec![after];
            event.nature = true;
            event.words.clone_from(said);
            event.side = head.side.map(|side| self.scope.machine.sides[side].name.clone());
            event.eff =
                vec![Effect { when: vec![Allowed { var, mask: 1 }], var, op: Op::Set, c: index as i32 + 1 }];
            made.push(self.events.len());
            self.events.push(event);
        }
        made
    }

    fn act_hazard(&mut self, id: &str, words: &Words, when: &Cond, event: EventId, step: &str) {
        let mut name = format!("{id}, in {step}");
        let mut twin = 2;
        while self.act_hazards.iter().any(|hazard| hazard.id == name) {
            name = format!("{id}, in {step}, {twin}");
            twin += 1;
        }
        self.act_hazards.push(Hazard {
            id: name,
            on: Some(event),
            when: when.clone(),
            words: words.clone(),
            origin: None,
        });
    }

    fn step_task(&self, item: &Step, pieces: &[Piece], events: Vec<EventId>, head: &Head) -> Task {
        let mut phases = vec![Phase::Hands(item.time.in_unit(TimeUnit::Second))];
        let mut pieces = pieces.iter().peekable();
        while let Some(piece) = pieces.next() {
            if let Piece::Pause(phase, then) = piece {
                phases.push(*phase);
                let goes_on = pieces.peek().is_some_and(|next| matches!(next, Piece::Act(act) if !act.effects.is_empty() || !act.needs.is_empty()));
                phases.push(Phase::Hands(if goes_on { *then } else { 0.0 }));
            }
        }
        let mut takes = item.uses.clone();
        let mut gives = item.uses.clone();
        let mut solutions = Vec::new();
        each(&item.statements, &mut |statement| match statement {
            Statement::Take(target) => takes.extend(vessel(target.subject)),
            Statement::GiveBack(target) => gives.extend(vessel(target.subject)),
            Statement::Fill(target, ft_machine::Liquid::Solution(id), amount) => {
                let capacity = vessel(target.subject).map(|id| self.scope.machine.vessels[id].capacity);
                solutions.push((*id, amount.or(capacity).map(super::vars::litres)));
            }
            Statement::Flush(_, ft_machine::Liquid::Solution(id)) | Statement::Scrub(_, _, Some(id)) => {
                solutions.push((*id, None));
            }
            _ => {}
        });
        Task {
            events,
            pauses: Vec::new(),
            from: head.from,
            side: head.side,
            place: item.place,
            phases,
            people: item.people,
            skill: item.skill.clone(),
            takes,
            gives,
            sink: None,
            solutions,
        }
    }

    /// Adds a task of the sink's lane.
    pub fn sink_task(
        &mut self,
        head: &Head,
        drafts: &[Draft],
        chained: Option<EventId>,
        task: Task,
    ) -> EventId {
        let mut before: Vec<EventId> = chained.into_iter().collect();
        if self.scope.procedure.order == CardOrder::Card {
            before.extend(self.sink_lane);
        }
        let events = self.add(head, drafts, before, &[]);
        let last = *events.last().expect("a task has at least one event");
        self.sink_lane = Some(last);
        self.tasks.push(Task { events, ..task });
        last
    }

    /// Adds the last look over the tray, after everything (H10).
    pub fn sign_off(&mut self, loads: &[Load]) {
        let machine = self.scope.machine;
        let because = words(&machine.languages, |language| {
            frame(
                language,
                "The tray is looked over when everything else is done.",
                "La bandeja se revisa cuando todo lo demás está hecho.",
            )
            .to_owned()
        });
        let asked: Vec<Asked> =
            self.last_events().into_iter().map(|before| Asked { before, because: because.clone() }).collect();
        let before = asked.iter().map(|asked| asked.before).collect();
        let mut act = Act::default();
        for (id, side) in loads.iter().flat_map(|load| load.parts.iter().copied()) {
            let Some(absent) = self.vars.none_of(Key::Part(id, side), &[part::IN_SLOT]) else { continue };
            let named = &machine.parts[id].named;
            let words =
                hazards::sentence(machine, "H10", |language| side_text(machine, named, side, language));
            act.hazards.push((hazards::id("H10", &side_text(machine, named, side, "")), words, vec![absent]));
        }
        let draft = Draft { hazards: act.hazards, has_act: true, ..Draft::default() };
        let title = ["Look over the tray", "Revisar la bandeja"];
        let head = Head {
            name: title[0].to_owned(),
            words: words(&machine.languages, |language| {
                fill(
                    frame(language, "{}: every slot is filled.", "{}: todos los huecos están llenos."),
                    &[frame(language, title[0], title[1])],
                )
            }),
            people: 1,
            from: TaskFrom::SignOff,
            side: None,
        };
        let events = self.add(&head, &[draft], before, &asked);
        self.tasks.push(Task {
            events,
            pauses: vec![0],
            from: TaskFrom::SignOff,
            side: None,
            place: None,
            phases: vec![Phase::Hands(30.0)],
            people: 1,
            skill: None,
            takes: Vec::new(),
            gives: Vec::new(),
            sink: None,
            solutions: Vec::new(),
        });
    }

    /// Events that no other event waits for.
    fn last_events(&self) -> Vec<EventId> {
        let waited: BTreeSet<EventId> =
            self.events.iter().flat_map(|event| event.pre.iter().copied()).collect();
        (0..self.events.len()).filter(|event| !waited.contains(event)).collect()
    }

    /// The form and its tasks.
    pub fn finish(mut self, loads: &[Load]) -> (Form, Vec<Task>, Vec<Key>) {
        let goal = goal::goal(self.scope, &self.vars, loads);
        let mut hazards = std::mem::take(&mut self.state_hazards);
        hazards.append(&mut self.act_hazards);
        gates::lower(&mut self.vars, &mut self.events, &self.gates);
        let mut keys: Vec<(usize, Key)> = self.vars.keys().map(|(key, var)| (var, key)).collect();
        keys.sort_unstable();
        let value_words = values::words(self.scope, &self.vars);
        let form = Form {
            name: String::new(),
            people: self.scope.people,
            vars: self.vars.list,
            events: self.events,
            hazards,
            goal,
            value_words,
        };
        (form, self.tasks, keys.into_iter().map(|(_, key)| key).collect())
    }
}

impl Draft {
    /// What an act under an answer, or under none, would find of a variable after what the draft has done so far.
    fn seen(&self, var: VarId, under: Option<Allowed>) -> Seen {
        for change in self.changed.get(&var).into_iter().flatten().rev() {
            match (change.under, under) {
                // Only one of two different answers is given, so the other's change has not happened.
                (Some(a), Some(b)) if a.var == b.var && a.mask & b.mask == 0 => {}
                (Some(a), b) if Some(a) != b => return Seen::Unknown,
                _ => return change.value.map_or(Seen::Unknown, Seen::Value),
            }
        }
        Seen::Before
    }

    /// A draft of one act that stands alone.
    pub fn of(act: Act) -> Self {
        Self {
            needs: act.needs,
            effects: act.effects,
            hazards: act.hazards,
            has_act: true,
            ..Self::default()
        }
    }

    /// The same, after a pause without hands.
    #[must_use]
    pub fn after_alone(mut self, seconds: f64) -> Self {
        self.before = Some(Between::Pause(Phase::Alone(seconds)));
        self
    }

    /// The same, needing no hands of its own.
    #[must_use]
    pub fn without_hands(mut self) -> Self {
        self.has_act = false;
        self
    }
}

/// By draft: how many pauses lie before it.
pub fn pauses(drafts: &[Draft]) -> Vec<usize> {
    let mut count = 0;
    let before = |draft: &Draft| {
        count += usize::from(matches!(draft.before, Some(Between::Pause(_))));
        count
    };
    drafts.iter().map(before).collect()
}

fn event_name(step: &str, index: usize, count: usize) -> String {
    match (index, count) {
        (_, 1) => step.to_owned(),
        (0, _) => format!("{step}@start"),
        _ if index + 1 == count => format!("{step}@end"),
        _ => format!("{step}@{}", index + 1),
    }
}

/// The step's words for its first event; for later ones, that it goes on or ends.
fn phrase(said: &Words, index: usize, count: usize) -> Words {
    said.iter()
        .map(|(language, text)| {
            let title = text.split(": ").next().unwrap_or(text);
            let text = match (index, count) {
                (0, _) => text.clone(),
                _ if index + 1 == count => fill(frame(language, "{} is finished.", "Termina: {}."), &[title]),
                _ => fill(frame(language, "{} goes on.", "Sigue: {}."), &[title]),
            };
            (language.clone(), text)
        })
        .collect()
}

/// Joins parts over the same variable, so that each variable stands once.
fn merge_guard(guard: &mut Cond) {
    let mut merged: BTreeMap<VarId, u64> = BTreeMap::new();
    for part in guard.iter() {
        *merged.entry(part.var).or_insert(u64::MAX) &= part.mask;
    }
    *guard = merged.into_iter().map(|(var, mask)| Allowed { var, mask }).collect();
}

fn vessel(subject: Subject) -> Option<usize> {
    match subject {
        Subject::Vessel(id) => Some(id),
        _ => None,
    }
}

/// Visits every statement, those under answers and options too.
pub fn each(statements: &[Statement], visit: &mut impl FnMut(&Statement)) {
    for statement in statements {
        visit(statement);
        match statement {
            Statement::Look(_, findings) => {
                for finding in findings {
                    each(&finding.statements, visit);
                }
            }
            Statement::Only(_, inner) => each(inner, visit),
            _ => {}
        }
    }
}

/// The problem of a step that asks for what an earlier statement of its own has made otherwise.
fn contradiction(vars: &[Var], undone: Option<&Allowed>, before: &Draft, act: &Act, item: &Step) -> Problem {
    let step = &item.named.name;
    let message = match undone {
        Some(part) => {
            let var = &vars[part.var];
            let now = match before.seen(part.var, act.under) {
                Seen::Value(value) => format!(" `{}`", goal::value_name(var, value)),
                Seen::Before | Seen::Unknown => " otherwise".to_owned(),
            };
            let wanted = goal::wanted(var, part.mask);
            format!("the step `{step}` needs `{}` {wanted}, and has made it{now} itself", var.name)
        }
        None => format!("the step `{step}` asks for something that it has just undone itself"),
    };
    Problem::error(codes::CONTRADICTS, item.named.span.clone(), message)
        .with_remedy("put its statements in the order in which the hands do them, or make two steps of it")
}
