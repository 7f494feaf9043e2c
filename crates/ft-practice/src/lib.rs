//! Practice: the virtual machine is the proved model. The trainee chooses what to do next; nothing is done that may
//! not be, but what would have happened is told, and counted as a slip of that step.
//!
//! Ends of steps and answers of looks follow by themselves as soon as they may: what is learnt is what comes when. When a
//! session is passed says [`measure`], for the tablet too; when it is done again says [`again`].

pub mod again;
pub mod measure;

use std::collections::BTreeMap;

use ft_form::walk::State;
use ft_form::{EventId, EventKind, Form};
use ft_prove::live::{Cause, May, may, what_if, why_not_yet};
use ft_record::Practice;
use serde::Serialize;

use crate::measure::{MEASURE, Tally};

/// A session in the middle.
#[derive(Debug, Clone)]
pub struct Session<'f> {
    /// The form whose `pre` is the proved loosest order.
    form: &'f Form,
    /// The same form without it: what hands and the machine itself allow.
    free: &'f Form,
    state: State,
    seed: u64,
    moves: u32,
    slips: BTreeMap<String, u32>,
    dangers: u32,
}

/// What a choice would come to.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Verdict {
    /// It is done.
    Right,
    /// Hands could do it, and these hazards, by index, would show.
    Danger(Vec<usize>),
    /// Hands could do it, but something has to come first.
    Waits,
    /// Hands cannot do it.
    Closed,
}

/// What a choice came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The step that was chosen.
    pub step: String,
    /// Whether it may be done now; if so it was.
    pub right: bool,
    /// What would have happened, or why not yet; one sentence each. Empty where it was right.
    pub why: Vec<String>,
    /// What may be done now that might not before.
    pub opens: Vec<String>,
}

/// How a session stands, or ended.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Score {
    /// Choices that were made.
    pub moves: u32,
    /// Choices that were right.
    pub right: u32,
    /// Steps that were tried at a wrong time, and how often.
    pub slips: BTreeMap<String, u32>,
    /// Choices by which somebody would have come to harm.
    pub dangers: u32,
    /// Whether everything was done.
    pub finished: bool,
    /// Whether that is enough, by [`MEASURE`].
    pub passed: bool,
}

/// How many choices are offered.
const OFFERED: usize = 4;

impl<'f> Session<'f> {
    /// A session from the start. `form` has its proved order as `pre` ([`ft_prove::with_order`]); `free` is the same
    /// form without it, event by event; `seed` decides what is offered.
    pub fn new(form: &'f Form, free: &'f Form, seed: u64) -> Self {
        let (state, slips) = (State::start(form), BTreeMap::new());
        let mut session = Self { form, free, state, seed, moves: 0, slips, dangers: 0 };
        session.follow();
        session
    }

    /// Whether everything was done.
    pub fn is_finished(&self) -> bool {
        self.state.is_finished()
    }

    /// A few events to choose from, at least one of which may be done, in an order that the seed decides.
    pub fn offer(&self) -> Vec<EventId> {
        let begins = (0..self.form.events.len()).filter(|&event| self.is_choice(event));
        let (open, closed): (Vec<EventId>, Vec<EventId>) =
            begins.partition(|&event| may(self.form, &self.state, event) == May::Yes);
        let mut draw =
            self.seed ^ (u64::from(self.moves) << 32) ^ self.state.done.iter().filter(|d| **d).count() as u64;
        let mut offered = Vec::new();
        let picks = [1 + below(&mut draw, 2), OFFERED];
        for (mut from, most) in [(open, picks[0]), (closed, picks[1])] {
            while offered.len() < most && !from.is_empty() {
                offered.push(from.swap_remove(below(&mut draw, from.len())));
            }
        }
        for index in (1..offered.len()).rev() {
            offered.swap(index, below(&mut draw, index + 1));
        }
        offered
    }

    /// The event that a person means: its name, or its step's name.
    pub fn find(&self, text: &str) -> Option<EventId> {
        let named = self.form.events.iter().position(|event| event.name == text);
        named.filter(|event| self.is_choice(*event)).or_else(|| {
            (0..self.form.events.len())
                .find(|&event| self.is_choice(event) && self.form.events[event].step == text)
        })
    }

    /// The words of an event in a language, or its step's name.
    pub fn words(&self, event: EventId, language: &str) -> &'f str {
        let event = &self.form.events[event];
        event.words.get(language).filter(|words| !words.is_empty()).unwrap_or(&event.step)
    }

    /// The step of an event.
    pub fn step(&self, event: EventId) -> &'f str {
        &self.form.events[event].step
    }

    /// Chooses. What is right is done, with all that follows by itself.
    pub fn choose(&mut self, event: EventId, language: &str) -> Told {
        self.moves += 1;
        let form = self.form;
        let step = form.events[event].step.clone();
        let verdict = self.judge(event);
        if verdict == Verdict::Right {
            let opens = what_if(form, &self.state, event).opens;
            self.state = self.state.after(form, event);
            self.follow();
            let opens = opens.into_iter().filter(|&event| self.is_choice(event));
            return Told {
                right: true,
                why: Vec::new(),
                opens: opens.map(|event| form.events[event].step.clone()).collect(),
                step,
            };
        }
        *self.slips.entry(step.clone()).or_default() += 1;
        self.dangers += u32::from(matches!(verdict, Verdict::Danger(_)));
        Told { right: false, why: self.why(event, &verdict, language), opens: Vec::new(), step }
    }

    /// As the tablet judges it: `judge` in `client/practise.js`.
    fn judge(&self, event: EventId) -> Verdict {
        match (may(self.form, &self.state, event), may(self.free, &self.state, event)) {
            (May::Yes, _) => Verdict::Right,
            (May::Hazardous(hazards), _) | (May::Not(_), May::Hazardous(hazards)) => Verdict::Danger(hazards),
            (May::Not(_), May::Yes) => Verdict::Waits,
            (May::Not(_), May::Not(_)) => Verdict::Closed,
        }
    }

    /// How it stands.
    pub fn score(&self) -> Score {
        let slips: u32 = self.slips.values().sum();
        let (moves, dangers, finished) = (self.moves, self.dangers, self.is_finished());
        Score {
            moves,
            right: moves - slips,
            slips: self.slips.clone(),
            dangers,
            finished,
            passed: MEASURE.is_passed(&Tally { moves, slips, dangers, finished }),
        }
    }

    /// The result as the record keeps it.
    pub fn practice(&self, who: &str, procedure: &str) -> Practice {
        let score = self.score();
        Practice {
            who: who.to_owned(),
            procedure: procedure.to_owned(),
            moves: score.moves,
            slips: score.slips,
            passed: score.passed,
        }
    }

    /// Whether somebody chooses it: it begins a step, and has not happened.
    fn is_choice(&self, event: EventId) -> bool {
        let of = &self.form.events[event];
        !self.state.done[event] && !of.nature && of.kind != EventKind::End && !self.is_within(event)
    }

    /// Whether it goes on with a step that another event began.
    fn is_within(&self, event: EventId) -> bool {
        let of = &self.form.events[event];
        self.form.events[..event]
            .iter()
            .any(|earlier| earlier.step == of.step && earlier.kind == EventKind::Start)
    }

    /// Does what follows by itself: ends of steps that were begun, and the world's answers.
    fn follow(&mut self) {
        let follows = |session: &Self, event: &EventId| {
            !session.is_choice(*event)
                && !session.state.done[*event]
                && may(session.form, &session.state, *event) == May::Yes
        };
        while let Some(event) = (0..self.form.events.len()).find(|event| follows(self, event)) {
            self.state = self.state.after(self.form, event);
        }
    }

    /// What would have happened if it had been done, by the hazard's own sentence, and what it waits for.
    fn why(&self, event: EventId, verdict: &Verdict, language: &str) -> Vec<String> {
        let form = self.form;
        let say = |en: String, es: String| if language == "es" { es } else { en };
        let shown: &[usize] = match verdict {
            Verdict::Danger(hazards) => hazards,
            Verdict::Right | Verdict::Waits | Verdict::Closed => &[],
        };
        let mut why: Vec<String> = shown
            .iter()
            .map(|hazard| {
                let hazard = &form.hazards[*hazard];
                let words = hazard.words.get(language).or_else(|| hazard.words.values().next());
                let words = words.unwrap_or(&hazard.id).trim_end_matches('.');
                say(format!("It would have gone wrong: {words}."), format!("Habría salido mal: {words}."))
            })
            .collect();
        let mut causes = why_not_yet(form, &self.state, event);
        if *verdict == Verdict::Closed {
            // What keeps the hands from it is told before what the order asks for.
            causes.extend(why_not_yet(self.free, &self.state, event));
        }
        let mut waits: Vec<&str> = Vec::new();
        for cause in causes {
            match cause {
                Cause::Waits(before) => waits.push(&form.events[before].step),
                Cause::Blocked { part, makers } => {
                    let name = &form.vars[part.var].name;
                    let value = form.value_text(part.var, self.state.vals[part.var], language);
                    let by = makers.first().map(|maker| form.events[*maker].step.as_str());
                    let (en, es) = by.map_or((String::new(), String::new()), |by| {
                        (format!("; `{by}` changes that"), format!("; lo cambia «{by}»"))
                    });
                    why.push(say(
                        format!("Hands cannot do it: {name} is {value}{en}."),
                        format!("No se puede hacer: {name} está en {value}{es}."),
                    ));
                }
                Cause::Hazard(_) => {}
            }
        }
        waits.sort_unstable();
        waits.dedup();
        if !waits.is_empty() {
            let names = waits.iter().map(|step| format!("`{step}`")).collect::<Vec<_>>().join(", ");
            why.push(say(format!("Not yet: first comes {names}."), format!("Todavía no: antes va {names}.")));
        }
        why.dedup();
        why
    }
}

/// A number below `end` out of a seed that moves on. `SplitMix64` (Steele, Lea, Flood 2014).
fn below(seed: &mut u64, end: usize) -> usize {
    *seed = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *seed;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) % end.max(1) as u64) as usize
}
