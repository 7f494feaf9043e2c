//! The smallest set of orders that makes a procedure safe.
//!
//! A story stays possible under more orders unless one of them cuts it: puts something in front of one of its
//! events that has not happened there. So whatever makes the form safe cuts each of its stories. The search
//! takes a story that still goes wrong, tries each cut in turn, and deepens: first one order, then two, ...
//! What it finds first is smallest; if no cut is left at any depth, nothing helps. Exactness is tested by
//! brute force on small forms.

use std::collections::BTreeSet;

use ft_form::{EventId, Form};

use crate::bits::Bits;
use crate::check::{Prover, check};
use crate::relation::{Relation, cuts};
use crate::run::{Run, safe_run};
use crate::slice::{Question, Slice};
use crate::verdict::{Flaw, FlawKind, Limits, Verdict};

/// What would make a form safe.
#[derive(Debug, Clone, PartialEq)]
pub enum Repair {
    /// It is safe as it is.
    Nothing,
    /// These orders, the fewest that do it; among the fewest, those with the earliest finish.
    Add(Vec<Added>),
    /// No order helps.
    Impossible {
        /// What is in the way, one sentence each.
        missing: Vec<String>,
    },
    /// The limits were reached first.
    TooLarge,
}

/// One order to add.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// What must come first.
    pub before: EventId,
    /// What must wait for it.
    pub after: EventId,
    /// What goes wrong without it.
    pub prevents: FlawKind,
    /// How it goes wrong.
    pub story: Vec<EventId>,
}

/// The smallest set of orders that makes the form safe.
///
/// No order is put in front of the world's answers. Finishing time is the longest chain of `dur_min`, as if
/// there were hands enough.
pub fn repair(form: &Form, limits: &Limits) -> Repair {
    let mut search = match check(form, limits) {
        Verdict::Proved(_) => return Repair::Nothing,
        Verdict::TooLarge(_) => return Repair::TooLarge,
        Verdict::Flaw(flaws) => Search::new(form, limits, flaws),
    };
    let missing = hopeless(form, limits);
    if !missing.is_empty() {
        return Repair::Impossible { missing };
    }
    match safe_run(form, RUN_LIMIT) {
        Run::None(missing) => return Repair::Impossible { missing },
        Run::Found(_) | Run::Unknown => {}
    }
    for depth in 1..=DEPTH_LIMIT {
        search.cut_short = false;
        search.seen.clear();
        let mut chosen = Vec::new();
        search.deepen(&Relation::given(form), &mut chosen, depth);
        if search.exhausted {
            return Repair::TooLarge;
        }
        if let Some((_, chosen)) = search.best.take() {
            return Repair::Add(search.explain(&chosen));
        }
        if !search.cut_short {
            return Repair::Impossible { missing: search.missing() };
        }
    }
    Repair::TooLarge
}

/// Sets of more orders than this are not looked for. Source: none, our choice.
const DEPTH_LIMIT: usize = 12;
/// States that the search for one safe run may visit. Source: none, our choice.
const RUN_LIMIT: usize = 10_000;
/// Sets of orders that one repair may check in full. Source: none, our choice: about a second's worth.
const CHECK_LIMIT: usize = 600;
/// States that one such check may visit. Source: none, our choice.
const STATES_EACH: u64 = 100_000;

struct Search<'f> {
    form: &'f Form,
    limits: &'f Limits,
    stories: Vec<Flaw>,
    best: Option<(f64, Vec<(EventId, EventId)>)>,
    seen: BTreeSet<Vec<(EventId, EventId)>>,
    cut_short: bool,
    exhausted: bool,
    checks: usize,
}

impl<'f> Search<'f> {
    fn new(form: &'f Form, limits: &'f Limits, stories: Vec<Flaw>) -> Self {
        Self {
            form,
            limits,
            stories,
            best: None,
            seen: BTreeSet::new(),
            cut_short: false,
            exhausted: false,
            checks: 0,
        }
    }

    /// Tries every way to make `relation` safe with at most `left` more orders.
    fn deepen(&mut self, relation: &Relation, chosen: &mut Vec<(EventId, EventId)>, left: usize) {
        if self.exhausted {
            return;
        }
        let Some(story) = self.wrong(relation) else {
            if !self.exhausted {
                let finish = Chains::new(self.form, relation).finish;
                if self.best.as_ref().is_none_or(|(best, _)| finish < *best) {
                    self.best = Some((finish, chosen.clone()));
                }
            }
            return;
        };
        let cuts = cuts(self.form, relation, &story);
        if left == 0 {
            self.cut_short |= !cuts.is_empty();
            return;
        }
        // Those with the earliest finish first: what comes later than the best is not worth a check.
        let chains = Chains::new(self.form, relation);
        let mut cuts: Vec<(f64, (EventId, EventId))> =
            cuts.into_iter().map(|pair| (chains.finish_with(pair), pair)).collect();
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (finish, (first, then)) in cuts {
            if self.best.as_ref().is_some_and(|(best, _)| *best <= finish) {
                break;
            }
            chosen.push((first, then));
            let mut set = chosen.clone();
            set.sort_unstable();
            if self.seen.insert(set) {
                let mut more = relation.clone();
                more.add(first, then);
                self.deepen(&more, chosen, left - 1);
            }
            chosen.pop();
        }
    }

    /// A story that goes wrong under these orders; a known one if possible.
    fn wrong(&mut self, relation: &Relation) -> Option<Vec<EventId>> {
        let known = self.stories.iter().filter(|flaw| relation.lets(&flaw.story));
        // The shortest has the fewest cuts to try.
        if let Some(flaw) = known.min_by_key(|flaw| flaw.story.len()) {
            return Some(flaw.story.clone());
        }
        self.checks += 1;
        if self.checks > CHECK_LIMIT {
            self.exhausted = true;
            return None;
        }
        let limits = Limits { states: self.limits.states.min(STATES_EACH), ..*self.limits };
        match check(&relation.lay_over(self.form), &limits) {
            Verdict::Proved(_) => None,
            Verdict::Flaw(flaws) => {
                let story = flaws.iter().min_by_key(|flaw| flaw.story.len()).map(|flaw| flaw.story.clone());
                // A deadlock that the added orders make is one only while they stand.
                let lasting = flaws.into_iter().filter(|flaw| lasts(self.form, flaw));
                self.stories.extend(lasting);
                story
            }
            Verdict::TooLarge(_) => {
                self.exhausted = true;
                None
            }
        }
    }

    /// Says of each order what goes wrong without it.
    fn explain(&mut self, chosen: &[(EventId, EventId)]) -> Vec<Added> {
        let mut added = Vec::new();
        for (index, &(before, after)) in chosen.iter().enumerate() {
            let mut without = Relation::given(self.form);
            for (other, &(first, then)) in chosen.iter().enumerate() {
                if other != index {
                    without.add(first, then);
                }
            }
            let verdict = check(&without.lay_over(self.form), self.limits);
            let Some(flaw) = verdict.flaws().iter().min_by_key(|flaw| flaw.story.len()) else { continue };
            added.push(Added { before, after, prevents: flaw.kind, story: flaw.story.clone() });
        }
        added
    }

    fn missing(&self) -> Vec<String> {
        let world = self.form.events.iter().any(|event| event.nature);
        let mut missing =
            vec!["some order is safe, but not for each answer that the world may give".to_string()];
        if !world {
            missing = vec!["each order that keeps one hazard away brings another".to_string()];
        }
        missing
    }
}

/// What no order can help, read off slices of one variable: a part of the goal that cannot hold in the end, a
/// part of a guard that cannot hold when its event is ready.
fn hopeless(form: &Form, limits: &Limits) -> Vec<String> {
    let prover = Prover::new(form, limits);
    let mut missing = Vec::new();
    for part in &form.goal {
        let slice = prover.slice(&[part.var], &[]);
        let question = slice.finished(slice.parts(&[*part]));
        if is_excluded(&slice, question) {
            let name = &form.vars[part.var].name;
            missing.push(format!("nothing brings `{name}` to its goal"));
        }
    }
    for (id, event) in form.events.iter().enumerate() {
        for part in &event.guard {
            let slice = prover.slice(&[part.var], &[]);
            let question = slice.ready(&prover.order, id, slice.parts(&[*part]));
            if is_excluded(&slice, question) {
                let name = &form.vars[part.var].name;
                missing.push(format!(
                    "`{}` can never be done: nothing brings `{name}` to what it needs",
                    event.name
                ));
            }
        }
    }
    missing
}

/// Whether a slice shows that no state answers the question.
fn is_excluded(slice: &Slice, question: Question) -> bool {
    let nothing = Bits::new(slice.events.len());
    slice.explore(&[question], &nothing, EXCLUDE_LIMIT).is_ok_and(|explored| !explored.reached[0])
}

/// States that such a question may take. Source: none, our choice.
const EXCLUDE_LIMIT: usize = 2_000;

/// Whether a story goes wrong whatever other orders there are, as long as none cuts it.
fn lasts(form: &Form, flaw: &Flaw) -> bool {
    if flaw.kind != FlawKind::Deadlock {
        return true;
    }
    let state = ft_form::walk::replay(form, &flaw.story);
    state.is_ok_and(|state| state.open(form).is_empty())
}

/// The longest chains of events, in minutes.
struct Chains {
    /// By event: the longest that ends with it.
    to: Vec<f64>,
    /// By event: the longest that begins with it.
    from: Vec<f64>,
    finish: f64,
}

impl Chains {
    fn new(form: &Form, relation: &Relation) -> Self {
        let mut order: Vec<EventId> = (0..form.events.len()).collect();
        order.sort_by_key(|&event| relation.before[event].count());
        let (mut to, mut from) = (vec![0.0_f64; form.events.len()], vec![0.0_f64; form.events.len()]);
        for &event in &order {
            let start = relation.before[event].iter().map(|before| to[before]).fold(0.0, f64::max);
            to[event] = start + form.events[event].dur_min;
        }
        for &event in order.iter().rev() {
            from[event] += form.events[event].dur_min;
            for before in relation.before[event].iter() {
                from[before] = from[before].max(from[event]);
            }
        }
        let finish = to.iter().copied().fold(0.0, f64::max);
        Self { to, from, finish }
    }

    /// The finish with one order more.
    fn finish_with(&self, (first, then): (EventId, EventId)) -> f64 {
        self.finish.max(self.to[first] + self.from[then])
    }
}
