//! Proof or shortest stories, question by question, each on the smallest slice that can answer it.
//!
//! A question starts on a slice with just its own variables. If the slice cannot reach what is asked, neither
//! can the form. If it can, its cheapest way is carried out on the whole form: where that works it is a
//! shortest story, since the cost of a way never exceeds the number of events that a story along it needs;
//! where it does not, the variable that stood in the way joins the slice.

use ft_form::certificate::{Certificate, Claim, Slice as Evidence, VERSION};
use ft_form::walk::State;
use ft_form::{EventId, Form, VarId};

use crate::bits::Bits;
use crate::concrete::{self, Blame};
use crate::memo::{self, Asked, Memo};
use crate::precedence::{Precedence, writers};
use crate::slice::{Exceeded, Path, Question, Slice};
use crate::verdict::{Flaw, FlawKind, Limits, Proof, TooLarge, Verdict};

/// Explores everything that the people could do.
///
/// Flaws are complete: each kind that can be reached is there once, with a shortest story. Cost is bounded by
/// `limits`; where they are reached, the answer is [`Verdict::TooLarge`], never a false proof.
pub fn check(form: &Form, limits: &Limits) -> Verdict {
    let mut prover = Prover::new(form, limits);
    let mut flaws = Vec::new();
    let mut undecided = Vec::new();
    for kind in FlawKind::all(form) {
        match prover.decide(kind) {
            Decided::Never => {}
            Decided::Story(story) => flaws.push(Flaw { kind, story }),
            Decided::Unknown => undecided.push(kind),
        }
    }
    let states = prover.states;
    if !undecided.is_empty() {
        Verdict::TooLarge(TooLarge { states, undecided, flaws })
    } else if flaws.is_empty() {
        Verdict::Proved(Proof { states, certificate: prover.certificate() })
    } else {
        Verdict::Flaw(flaws)
    }
}

/// What a question to many orders of one form was answered.
pub(crate) enum Judged {
    Safe { states: u64 },
    Flawed(Vec<Flaw>),
    Unknown { states: u64, undecided: Vec<FlawKind>, flaws: Vec<Flaw> },
}

/// How much a judgement has to find out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Find {
    /// Each kind of flaw that can be reached, with a shortest story.
    All,
    /// Any story of any flaw.
    Any,
}

/// What is asked of a judgement.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ask<'a> {
    pub(crate) find: Find,
    /// States that one hazard may take, so that a hard one does not use up what is there for the others.
    pub(crate) each: u64,
    /// Kinds of flaws that are not asked for.
    pub(crate) skip: &'a [FlawKind],
}

/// Goal and deadlock are one question each about a whole form, and may take so many times more than a hazard.
/// Source: none, our choice by measurement.
const WHOLE: u64 = 8;

/// As [`check`], with what is known of the form under other orders, and without a certificate.
pub(crate) fn judge(form: &Form, limits: &Limits, memo: &mut Memo, ask: Ask) -> Judged {
    let mut prover = Prover::new(form, limits);
    prover.memo = Some(std::mem::take(memo));
    prover.is_hasty = ask.find == Find::Any;
    let mut flaws = Vec::new();
    let mut undecided = Vec::new();
    for kind in FlawKind::all(form).into_iter().filter(|kind| !ask.skip.contains(kind)) {
        let times = match (kind, ask.find) {
            (FlawKind::Hazard(_), _) => 1,
            (_, Find::Any) => 2,
            (_, Find::All) => WHOLE,
        };
        prover.question_end = prover.states.saturating_add(ask.each.saturating_mul(times));
        match prover.decide(kind) {
            Decided::Never => {}
            Decided::Story(story) => flaws.push(Flaw { kind, story }),
            Decided::Unknown => undecided.push(kind),
        }
        if ask.find == Find::Any && !(undecided.is_empty() && flaws.is_empty()) {
            break;
        }
    }
    *memo = prover.memo.take().unwrap_or_default();
    let states = prover.states;
    if !undecided.is_empty() {
        Judged::Unknown { states, undecided, flaws }
    } else if flaws.is_empty() {
        Judged::Safe { states }
    } else {
        Judged::Flawed(flaws)
    }
}

pub(crate) struct Prover<'f> {
    pub(crate) form: &'f Form,
    pub(crate) order: Precedence,
    pub(crate) writers: Vec<Vec<EventId>>,
    pub(crate) evidence: Vec<Evidence>,
    pub(crate) states: u64,
    limits: Limits,
    /// By event, by part of its guard: whether it is known never to block the event for good.
    pub(crate) claimed: Vec<Vec<bool>>,
    /// States after which the question that is being decided is given up.
    question_end: u64,
    /// What is known of the form under other orders.
    memo: Option<Memo>,
    /// Whether any story will do, not only a shortest one.
    is_hasty: bool,
}

pub(crate) enum Decided {
    Never,
    Story(Vec<EventId>),
    Unknown,
}

impl<'f> Prover<'f> {
    pub(crate) fn new(form: &'f Form, limits: &Limits) -> Self {
        Self {
            form,
            order: Precedence::with_needs(form),
            writers: writers(form),
            evidence: Vec::new(),
            states: 0,
            limits: *limits,
            claimed: form.events.iter().map(|event| vec![false; event.guard.len()]).collect(),
            question_end: u64::MAX,
            memo: None,
            is_hasty: false,
        }
    }

    pub(crate) fn certificate(self) -> Certificate {
        Certificate { version: VERSION, inferred: self.order.inferred, slices: self.evidence }
    }

    pub(crate) fn decide(&mut self, kind: FlawKind) -> Decided {
        match kind {
            FlawKind::Hazard(index) => self.decide_hazard(index),
            FlawKind::Deadlock => self.decide_deadlock(),
            FlawKind::Goal => self.decide_goal(),
        }
    }

    /// A slice's states that may still be visited.
    pub(crate) fn room(&self, slice: &Slice) -> usize {
        let by_states = self.limits.states.min(self.question_end).saturating_sub(self.states);
        let by_bytes = self.limits.bytes / slice.state_bytes();
        usize::try_from(by_states.min(by_bytes)).unwrap_or(usize::MAX)
    }

    pub(crate) fn slice(&self, vars: &[VarId], more: &[EventId]) -> Slice {
        Slice::new(self.form, &self.order, &self.writers, vars, more)
    }

    /// Explores, and keeps as evidence what could not be reached: `claims` are those of the questions.
    ///
    /// Says by question whether it can be reached.
    pub(crate) fn explore(
        &mut self,
        slice: &Slice,
        questions: &[Question],
        claims: &[Claim],
        sure: &Bits,
        limit: usize,
    ) -> Option<Vec<bool>> {
        let is_of_guards = !matches!(claims[0], Claim::Hazard(_) | Claim::Goal(_));
        let key = (self.memo.is_some() && is_of_guards).then(|| memo::key(slice, questions, sure, limit));
        if let Some((memo, key)) = self.memo.as_ref().zip(key.as_ref())
            && let Some(answer) = memo.explored(key)
        {
            return answer.clone();
        }
        let is_enough = limit <= self.room(slice);
        let explored = match slice.explore(questions, sure, limit.min(self.room(slice))) {
            Ok(explored) => explored,
            Err(Exceeded { states }) => {
                self.states += states as u64;
                if let Some((memo, key)) = self.memo.as_mut().zip(key).filter(|_| is_enough) {
                    memo.explore(key, None);
                }
                return None;
            }
        };
        self.states += explored.states as u64;
        if let Some(memo) = &mut self.memo {
            if let Some(key) = key {
                memo.explore(key, Some(explored.reached.clone()));
            }
            return Some(explored.reached);
        }
        let is_kept = |(at, _): &(usize, &Claim)| !explored.reached[*at];
        let kept: Vec<Claim> = claims.iter().enumerate().filter(is_kept).map(|(_, claim)| *claim).collect();
        if kept.is_empty() {
            return Some(explored.reached);
        }
        let mut states = explored.states;
        if kept.len() < questions.len() {
            // Which threads are alike depends on what is asked, so the number of states is that of the kept.
            let asked: Vec<Question> = questions
                .iter()
                .zip(&explored.reached)
                .filter(|(_, reached)| !**reached)
                .map(|(question, _)| question.clone())
                .collect();
            states = slice.explore(&asked, sure, limit.min(self.room(slice))).ok()?.states;
            self.states += states as u64;
        }
        self.evidence.push(Evidence {
            vars: slice.vars.clone(),
            events: slice.events.clone(),
            states: states as u64,
            claims: kept,
        });
        Some(explored.reached)
    }

    /// Whether any story of a deadlock will do.
    pub(crate) fn is_hasty_deadlock(&self) -> bool {
        self.memo.is_some()
    }

    fn is_excluded(&self, asked: Asked) -> bool {
        self.memo.as_ref().is_some_and(|memo| memo.excludes(asked, &self.order))
    }

    fn exclude(&mut self, asked: Asked, events: Vec<EventId>) {
        if let Some(memo) = &mut self.memo {
            memo.exclude(asked, &self.order, events);
        }
    }

    fn decide_hazard(&mut self, index: usize) -> Decided {
        let form = self.form;
        let hazard = &form.hazards[index];
        if hazard.on.is_some_and(|event| self.order.never.has(event)) {
            return Decided::Never; // The form has a deadlock, so nothing rests on this.
        }
        if self.is_excluded(Asked::Hazard(index)) {
            return Decided::Never;
        }
        let mut follow =
            Blame { vars: hazard.when.iter().map(|part| part.var).collect(), events: Vec::new() };
        loop {
            let slice = self.slice(&follow.vars, &follow.events);
            let mut cond = slice.parts(&hazard.when);
            let mut base = Bits::new(form.events.len());
            let question = match hazard.on {
                None => slice.any(cond),
                Some(event) => {
                    cond.extend(slice.parts(&form.events[event].guard));
                    base.add_all(&self.order.before[event]);
                    slice.ready(&self.order, event, cond)
                }
            };
            let nothing = Bits::new(slice.events.len());
            let asked = std::slice::from_ref(&question);
            match self.explore(&slice, asked, &[Claim::Hazard(index)], &nothing, usize::MAX) {
                None => {
                    self.give_up(index, &follow.vars);
                    return Decided::Unknown;
                }
                Some(reached) if !reached[0] => {
                    self.exclude(
                        Asked::Hazard(index),
                        slice.events.iter().copied().chain(hazard.on).collect(),
                    );
                    return Decided::Never;
                }
                Some(_) => {}
            }
            let is_hasty = self.is_hasty;
            let mut reach = Reach::new(&self.order, &slice, base);
            let paths = slice.cheapest(&question, &nothing, self.room(&slice), PATHS, |done| {
                if is_hasty { 0 } else { reach.cost(done) }
            });
            let Ok(paths) = paths else {
                self.give_up(index, &follow.vars);
                return Decided::Unknown;
            };
            let tried = self.try_paths(
                &slice,
                &paths,
                |path| reach.events(&path.moves),
                |state| {
                    let blocked = hazard.on.map_or(&[][..], |event| &form.events[event].guard);
                    let parts = hazard.when.iter().chain(blocked);
                    parts.filter(|part| !state.holds(form, &[**part])).map(|part| part.var).collect()
                },
            );
            match tried {
                Ok(mut story) => {
                    story.extend(hazard.on);
                    return Decided::Story(story);
                }
                Err(more) if more.is_empty() => return Decided::Unknown,
                Err(more) => follow.add(more),
            }
        }
    }

    fn give_up(&mut self, hazard: usize, vars: &[VarId]) {
        if let Some(memo) = &mut self.memo {
            memo.hard.insert(hazard, vars.to_vec());
        }
    }

    fn decide_goal(&mut self) -> Decided {
        let form = self.form;
        if !self.order.never.is_empty() {
            return Decided::Never; // Not everything can happen, so the goal is never asked for.
        }
        let mut unknown = false;
        for (index, part) in form.goal.iter().enumerate() {
            if self.is_excluded(Asked::Goal(index)) {
                continue;
            }
            let mut follow = Blame { vars: vec![part.var], events: Vec::new() };
            loop {
                let slice = self.slice(&follow.vars, &follow.events);
                let wrong = slice.parts(&[*part]).iter().map(|part| part.negated()).collect();
                let question = slice.finished(wrong);
                let nothing = Bits::new(slice.events.len());
                let asked = std::slice::from_ref(&question);
                match self.explore(&slice, asked, &[Claim::Goal(index)], &nothing, usize::MAX) {
                    None => {
                        unknown = true;
                        break;
                    }
                    Some(reached) if !reached[0] => {
                        self.exclude(Asked::Goal(index), slice.events.clone());
                        break;
                    }
                    Some(_) => {}
                }
                // Every story has all events, so all ways cost the same.
                let paths = slice.cheapest(&question, &nothing, self.room(&slice), PATHS, |_| 0);
                let Ok(paths) = paths else {
                    unknown = true;
                    break;
                };
                let mut all = Bits::new(form.events.len());
                (0..form.events.len()).for_each(|event| all.insert(event));
                let tried = self.try_paths(
                    &slice,
                    &paths,
                    |_| all.clone(),
                    |state| {
                        if state.holds(form, &[*part]) { vec![part.var] } else { Vec::new() }
                    },
                );
                match tried {
                    Ok(story) => return Decided::Story(story),
                    Err(more) if more.is_empty() => {
                        unknown = true;
                        break;
                    }
                    Err(more) => follow.add(more),
                }
            }
        }
        if unknown { Decided::Unknown } else { Decided::Never }
    }

    /// The first way that can be carried out to a state in which nothing is `wrong`; else what to follow.
    pub(crate) fn try_paths(
        &self,
        slice: &Slice,
        paths: &[Path],
        events: impl Fn(&Path) -> Bits,
        wrong: impl Fn(&State) -> Vec<VarId>,
    ) -> Result<Vec<EventId>, Blame> {
        let mut blame = None;
        // A dearer way may be a real one, but then a cheaper one may be real too and must be looked at first.
        for path in paths.iter().filter(|path| path.cost == paths[0].cost) {
            let all = events(path);
            let failed = match concrete::carry_out(self.form, &self.order, slice, &path.moves, &all) {
                Ok((story, state)) => {
                    let wrong = wrong(&state);
                    if wrong.is_empty() {
                        return Ok(story);
                    }
                    concrete::missing(self.form, slice, wrong.into_iter())
                }
                Err(failed) => failed,
            };
            blame.get_or_insert(failed);
        }
        Err(blame.unwrap_or_default())
    }
}

/// How many ways of equal cost are tried before a slice grows. Source: none, our choice by measurement.
pub(crate) const PATHS: usize = 4;

/// The events that a state of a slice needs: those that happened in it, and everything before them.
struct Reach<'a> {
    before: Vec<&'a Bits>,
    events: &'a [EventId],
    base: Bits,
    sum: Bits,
}

impl<'a> Reach<'a> {
    fn new(order: &'a Precedence, slice: &'a Slice, base: Bits) -> Self {
        let before = slice.events.iter().map(|&event| &order.before[event]).collect();
        Self { before, events: &slice.events, sum: base.clone(), base }
    }

    fn cost(&mut self, done: &[u64]) -> usize {
        self.sum.clone_from(&self.base);
        for local in (0..self.events.len()).filter(|local| done[local / 64] >> (local % 64) & 1 == 1) {
            self.sum.add_all(self.before[local]);
            self.sum.insert(self.events[local]);
        }
        self.sum.count()
    }

    fn events(&self, moves: &[usize]) -> Bits {
        let mut sum = self.base.clone();
        for &local in moves {
            sum.add_all(self.before[local]);
            sum.insert(self.events[local]);
        }
        sum
    }
}
