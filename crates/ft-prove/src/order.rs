//! The loosest safe order: which events must come before which, and why.
//!
//! It starts from a relation that is safe, the card's own or a safe run in a line, and from one run through it
//! reads off what each event needs (its last writers) and what must be kept apart. That is usually enough; it
//! is proved, and where it is not, stories say which orders of the card are missing. Then each order that
//! nothing seems to need is taken out and proved again. What is returned has been proved.

use std::collections::BTreeMap;

use ft_form::walk::State;
use ft_form::{Allowed, EventId, Form, Op, VarId, VarKind, Words, allows};

use crate::check::{Ask, Find, Judged, check, judge};
use crate::justify::{Why, justify};
use crate::memo::Memo;
use crate::relation::{Relation, is_asked, is_same_step};
use crate::run::{Run, safe_run};
use crate::strict::{Meant, Strict};
use crate::verdict::{Flaw, FlawKind, Limits, Verdict};

/// A safe partial order, reduced: what follows from other edges is not listed.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Sorted by `after`, then by `before`.
    pub edges: Vec<OrderEdge>,
    /// Whether it was proved of each edge that it cannot be dropped. Large forms may run out of work first.
    pub is_minimal: bool,
    /// Variables, sorted, whose guards this order leaves to waiting: kit, people, and amounts for which the card
    /// itself waits. Every other guard holds when its event's turn has come.
    pub waits: Vec<VarId>,
}

/// One event before another, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderEdge {
    /// What comes first.
    pub before: EventId,
    /// What comes later.
    pub after: EventId,
    /// At least one.
    pub reasons: Vec<Reason>,
}

/// Why one event must come before another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// The first makes true what the second needs.
    Enables {
        /// The part of the second's guard.
        part: Allowed,
    },
    /// The other way round, something that is still needed would be undone, or a hazard would be shown.
    Protects {
        /// The hazard, by index, if it is one.
        hazard: Option<usize>,
        /// What is still needed, if it is that.
        part: Option<Allowed>,
    },
    /// The author asked for it.
    Asked {
        /// The author's reason.
        because: Words,
    },
    /// Somebody would wait, holding what another needs.
    Kit {
        /// The kit or the people.
        var: VarId,
    },
    /// The step's begin and its end.
    SameStep,
}

/// Why there is no order.
#[derive(Debug, Clone, PartialEq)]
pub enum NoOrder {
    /// The card is not safe and no safe run was found; `check` says how it goes wrong.
    Unsafe {
        /// What is in the way, one sentence each.
        missing: Vec<String>,
    },
    /// The limits were reached first.
    TooLarge,
}

/// The loosest safe partial order that a card, or guards, hazards and goal alone, allow.
///
/// Nothing that the author asked for is dropped, and no order is put in front of the world's answers.
///
/// # Errors
/// [`NoOrder`] if no order is safe, or the limits were reached.
pub fn order(form: &Form, limits: &Limits) -> Result<Order, NoOrder> {
    let Base { relation: base, run, strict } = Base::find(form, limits)?;
    let kept = Relation::kept(form);
    let (mut relation, mut reasons) = (kept.clone(), BTreeMap::new());
    for (first, then, why) in justify(form, &run, &base, &strict.waits) {
        relation.add(first, then);
        let reason = match why {
            Why::Enables(part) => Reason::Enables { part },
            Why::Threatens(part) => Reason::Protects { hazard: None, part: Some(part) },
            Why::Hazard(index) => Reason::Protects { hazard: Some(index), part: None },
            Why::Kit(var) => Reason::Kit { var },
            Why::Turns => continue,
        };
        let of: &mut Vec<Reason> = reasons.entry((first, then)).or_default();
        if !of.contains(&reason) {
            of.push(reason);
        }
    }
    let laid = strict.form.clone();
    let (stories, memo) = (Vec::new(), Memo::default());
    let mut deriving =
        Deriving { form, strict, limits, base, kept, reasons, stories, memo, laid, proof_states: 0 };
    deriving.make_safe(&mut relation)?;
    let is_minimal = deriving.loosen(&mut relation, &run);
    // Deriving remembers what it proved under other orders; the result is proved once more from nothing but itself.
    if !check(&relation.lay_over(&deriving.strict.form), limits).is_proved() {
        return Err(NoOrder::TooLarge);
    }
    let edges = relation.reduced().into_iter().map(|pair| deriving.edge(pair)).collect();
    let waits = deriving.strict.waits.iter().enumerate().filter(|(_, waits)| **waits).map(|(var, _)| var);
    Ok(Order { edges, is_minimal, waits: waits.collect() })
}

/// What deriving starts from: a safe relation and a run that it allows.
struct Base {
    relation: Relation,
    run: Vec<EventId>,
    strict: Strict,
}

impl Base {
    fn find(form: &Form, limits: &Limits) -> Result<Self, NoOrder> {
        let given = Relation::given(form);
        let strict = Strict::of_card(form, limits);
        match check(&strict.form, &limits.share(100)) {
            Verdict::Proved(_) => {
                let run = any_run(form);
                return Ok(Self { relation: given, run, strict });
            }
            Verdict::Flaw(_) | Verdict::TooLarge(_) => {}
        }
        let strict = Strict::new(form);
        let run = match safe_run(form, RUN_LIMIT) {
            Run::Found(run) => run,
            Run::None(missing) => return Err(NoOrder::Unsafe { missing }),
            Run::Unknown => return Err(NoOrder::TooLarge),
        };
        let mut relation = given;
        for pair in run.windows(2) {
            // An answer of the world may come as soon as what it waits for has happened.
            if !form.events[pair[1]].nature {
                relation.add(pair[0], pair[1]);
            }
        }
        match check(&relation.lay_over(&strict.form), limits) {
            Verdict::Proved(_) => Ok(Self { relation, run, strict }),
            Verdict::Flaw(_) => Err(NoOrder::Unsafe {
                missing: vec!["no order was found that is safe for each answer of the world".into()],
            }),
            Verdict::TooLarge(_) => Err(NoOrder::TooLarge),
        }
    }
}

/// States that the search for one safe run may visit. Source: none, our choice.
const RUN_LIMIT: usize = 200_000;

/// A run of a form that is proved: whatever is open, in the card's order.
fn any_run(form: &Form) -> Vec<EventId> {
    let mut state = State::start(form);
    let mut run = Vec::new();
    while let Some(&event) = state.open(form).first() {
        state = state.after(form, event);
        run.push(event);
    }
    run
}

pub(crate) struct Deriving<'f> {
    pub(crate) form: &'f Form,
    pub(crate) strict: Strict,
    pub(crate) limits: &'f Limits,
    base: Relation,
    pub(crate) kept: Relation,
    pub(crate) reasons: BTreeMap<(EventId, EventId), Vec<Reason>>,
    pub(crate) stories: Vec<Flaw>,
    /// What is known of the strict form under other orders.
    pub(crate) memo: Memo,
    /// The strict form, for orders to be laid on.
    pub(crate) laid: Form,
    /// States that it took to prove the relation that is being loosened.
    pub(crate) proof_states: u64,
}

impl Deriving<'_> {
    /// Adds orders of the base until the form is proved; in the end the base itself is.
    fn make_safe(&mut self, relation: &mut Relation) -> Result<(), NoOrder> {
        let limits = self.limits.share(40);
        let mut each = STATES_EACH;
        // Hard questions wait until stories have put in order what they can.
        let mut hard = vec![FlawKind::Deadlock, FlawKind::Goal];
        let mut is_begun = false;
        for _ in 0..ROUNDS {
            relation.lay_on(&mut self.laid);
            let ask = Ask { find: Find::All, each, skip: &hard };
            let flaws = match judge(&self.laid, &limits, &mut self.memo, ask) {
                Judged::Safe { states } => {
                    self.proof_states += states;
                    if hard.is_empty() {
                        return Ok(());
                    }
                    Vec::new()
                }
                Judged::Flawed(flaws) => flaws,
                Judged::Unknown { undecided, states, flaws } => {
                    self.proof_states += states;
                    hard.extend(undecided);
                    flaws
                }
            };
            if flaws.is_empty() {
                let own = |hazard: usize| {
                    self.strict.form.hazards[hazard].when.iter().map(|part| part.var).collect()
                };
                let grown = |hazard: usize| self.memo.hard.get(&hazard).cloned().unwrap_or_default();
                let is_tied = self.tie(relation, &hard, own) || self.tie(relation, &hard, grown);
                if !is_tied && is_begun {
                    each = each.saturating_mul(8);
                }
                if each > limits.states {
                    break;
                }
                is_begun |= !is_tied;
                hard.clear();
            }
            for flaw in flaws {
                while relation.lets(&flaw.story) {
                    let Some((first, then)) = self.missing_order(relation, &flaw) else { break };
                    relation.add(first, then);
                    let reason = self.reason_of((first, then), &flaw);
                    self.reasons.entry((first, then)).or_default().push(reason);
                }
                self.stories.push(flaw);
            }
        }
        relation.add_all(&self.base);
        match check(&relation.lay_over(&self.strict.form), self.limits) {
            Verdict::Proved(proof) => {
                self.proof_states = proof.states;
                Ok(())
            }
            Verdict::Flaw(_) | Verdict::TooLarge(_) => Err(NoOrder::TooLarge),
        }
    }

    /// Takes the base's orders of all events that hard hazards are about, by their variables; says whether there were new ones.
    fn tie(
        &self,
        relation: &mut Relation,
        questions: &[FlawKind],
        vars: impl Fn(usize) -> Vec<VarId>,
    ) -> bool {
        let hazards = &self.strict.form.hazards;
        let mut is_tied = false;
        for kind in questions {
            let FlawKind::Hazard(index) = *kind else { continue };
            let vars = vars(index);
            let on = hazards[index].on;
            let changes = |event: &EventId| {
                Some(*event) == on
                    || self.form.events[*event].eff.iter().any(|effect| vars.contains(&effect.var))
            };
            let events: Vec<EventId> = (0..self.form.events.len()).filter(changes).collect();
            for &then in &events {
                for &first in events.iter().filter(|&&first| self.base.has(first, then)) {
                    is_tied |= !relation.has(first, then);
                    relation.add(first, then);
                }
            }
        }
        is_tied
    }

    /// An order of the base that cuts the story: one between events that the flaw is about, if there is one, and
    /// as late in the story as possible, so that it forbids little.
    fn missing_order(&self, relation: &Relation, flaw: &Flaw) -> Option<(EventId, EventId)> {
        let vars: Vec<VarId> = match flaw.kind {
            FlawKind::Hazard(index) => self.strict.form.hazards[index].when.iter().map(|p| p.var).collect(),
            FlawKind::Goal => self.form.goal.iter().map(|part| part.var).collect(),
            FlawKind::Deadlock => blocked_vars(&self.strict.form, &flaw.story),
        };
        let concerns =
            |event: EventId| self.form.events[event].eff.iter().any(|effect| vars.contains(&effect.var));
        let last = flaw.story.last().copied();
        let relevant =
            |first: EventId, then: EventId| concerns(first) && (concerns(then) || Some(then) == last);
        self.missing_among(relation, flaw, relevant)
            .or_else(|| self.missing_among(relation, flaw, |_, _| true))
    }

    fn missing_among(
        &self,
        relation: &Relation,
        flaw: &Flaw,
        may_be: impl Fn(EventId, EventId) -> bool,
    ) -> Option<(EventId, EventId)> {
        let mut position = vec![usize::MAX; self.form.events.len()];
        flaw.story.iter().enumerate().for_each(|(at, &event)| position[event] = at);
        for (at, &then) in flaw.story.iter().enumerate().rev() {
            if self.form.events[then].nature {
                continue;
            }
            let firsts = self.base.before[then]
                .iter()
                .filter(|&first| position[first] > at && !relation.has(first, then) && may_be(first, then));
            // The one furthest along the base is nearest to `then`.
            if let Some(first) = firsts.max_by_key(|&first| self.base.before[first].count()) {
                return Some((first, then));
            }
        }
        None
    }

    fn edge(&self, (before, after): (EventId, EventId)) -> OrderEdge {
        let mut reasons = Vec::new();
        if is_same_step(self.form, before, after) {
            reasons.push(Reason::SameStep);
        }
        for asked in self.form.events[after].asked.iter().filter(|asked| asked.before == before) {
            reasons.push(Reason::Asked { because: asked.because.clone() });
        }
        reasons.extend(self.reasons.get(&(before, after)).into_iter().flatten().cloned());
        if reasons.is_empty() {
            reasons.push(static_reason(self.form, before, after));
        }
        reasons.sort();
        reasons.dedup();
        OrderEdge { before, after, reasons }
    }

    /// The reason for an order, from what goes wrong without it.
    pub(crate) fn reason_of(&self, (before, after): (EventId, EventId), flaw: &Flaw) -> Reason {
        match flaw.kind {
            FlawKind::Hazard(index) => match self.strict.meant(index) {
                Meant::Hazard(index) => Reason::Protects { hazard: Some(index), part: None },
                Meant::Guard(event, part) if event == after && makes(self.form, before, part, true) => {
                    Reason::Enables { part }
                }
                Meant::Guard(_, part) => Reason::Protects { hazard: None, part: Some(part) },
            },
            FlawKind::Deadlock | FlawKind::Goal => static_reason(self.form, before, after),
        }
    }
}

/// States that one question may take before those are tied that it is about. Source: none, our choice by
/// measurement.
pub(crate) const STATES_EACH: u64 = 4_000;

/// The variables for which events wait after a story.
fn blocked_vars(form: &Form, story: &[EventId]) -> Vec<VarId> {
    let state = story.iter().fold(State::start(form), |state, &event| state.after(form, event));
    let mut vars = Vec::new();
    for event in (0..form.events.len()).filter(|&event| !state.done[event]) {
        let fails = |part: &&Allowed| !state.holds(form, &[**part]);
        vars.extend(form.events[event].guard.iter().filter(fails).map(|part| part.var));
    }
    vars
}

/// Rounds in which stories may ask for orders before the whole card is taken. Source: none, our choice.
const ROUNDS: usize = 80;

/// The reason that can be read off two events alone.
fn static_reason(form: &Form, before: EventId, after: EventId) -> Reason {
    let (first, then) = (&form.events[before], &form.events[after]);
    let is_thing = |part: &&Allowed| form.vars[part.var].kind != VarKind::Res;
    if let Some(part) = then.guard.iter().filter(is_thing).find(|part| makes(form, before, **part, true)) {
        return Reason::Enables { part: *part };
    }
    if let Some(part) = first.guard.iter().filter(is_thing).find(|part| makes(form, after, **part, false)) {
        return Reason::Protects { hazard: None, part: Some(*part) };
    }
    let both = first
        .eff
        .iter()
        .filter(|effect| form.vars[effect.var].kind == VarKind::Res && uses(then, effect.var));
    if let Some(effect) = both.into_iter().next() {
        return Reason::Kit { var: effect.var };
    }
    let goal =
        form.goal.iter().find(|part| makes(form, before, **part, false) && makes(form, after, **part, true));
    Reason::Protects { hazard: None, part: goal.copied() }
}

/// Whether an event may make a part true, or, with `want` false, untrue.
fn makes(form: &Form, event: EventId, part: Allowed, want: bool) -> bool {
    form.events[event].eff.iter().any(|effect| {
        effect.var == part.var
            && match effect.op {
                Op::Set => allows(&form.vars[part.var], part.mask, effect.c) == want,
                Op::Add => true,
            }
    })
}

fn uses(event: &ft_form::Event, var: VarId) -> bool {
    event.guard.iter().any(|part| part.var == var) || event.eff.iter().any(|effect| effect.var == var)
}

/// The form whose `pre` is the derived order.
pub fn with_order(form: &Form, order: &Order) -> Form {
    let mut form = form.clone();
    for event in &mut form.events {
        event.pre.clear();
    }
    for edge in &order.edges {
        form.events[edge.after].pre.push(edge.before);
    }
    for event in &mut form.events {
        event.pre.sort_unstable();
    }
    form
}

/// Why this event comes when it does: the edges into it.
pub fn why(order: &Order, event: EventId) -> Vec<&OrderEdge> {
    order.edges.iter().filter(|edge| edge.after == event).collect()
}

/// Why this event may not come yet: the edges into it from events that have not happened.
pub fn why_not<'o>(order: &'o Order, state: &State, event: EventId) -> Vec<&'o OrderEdge> {
    order.edges.iter().filter(|edge| edge.after == event && !state.done[edge.before]).collect()
}

/// The chain of edges that puts `first` before `then`, shortest first to last; empty if nothing does.
pub fn why_before(order: &Order, first: EventId, then: EventId) -> Vec<&OrderEdge> {
    let mut came: BTreeMap<EventId, &OrderEdge> = BTreeMap::new();
    let mut front = vec![first];
    while !front.is_empty() && !came.contains_key(&then) {
        let mut next = Vec::new();
        for edge in &order.edges {
            if front.contains(&edge.before) && !came.contains_key(&edge.after) {
                came.insert(edge.after, edge);
                next.push(edge.after);
            }
        }
        front = next;
    }
    let mut chain = Vec::new();
    let mut at = then;
    while let Some(edge) = came.get(&at) {
        chain.push(*edge);
        at = edge.before;
        if at == first {
            break;
        }
    }
    chain.reverse();
    chain
}

/// Whether the author asked for this edge.
pub fn was_asked(form: &Form, edge: &OrderEdge) -> bool {
    is_asked(form, edge.before, edge.after)
}
