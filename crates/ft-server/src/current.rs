//! The night that is open, or the one that could be: plan, machines, and what has happened.

use std::collections::BTreeMap;
use std::sync::Arc;

use ft_form::Form;
use ft_form::walk::State;
use ft_night::Plan;
use ft_record::fold::{self, Night};
use ft_record::{Event, Fact, Stored};
use ft_run::{Hand, Piece, PlanRows, Run, Seen};

use crate::sheet::Sheet;
use crate::site::LANGUAGES;

/// Schedules that may be built to plan the rest of a night anew.
const AGAIN_UNITS: u64 = 2000;

/// A night.
pub struct Current {
    /// Its name: the id of the event that opened it; `None` before.
    pub id: Option<String>,
    /// The procedure.
    pub procedure: String,
    /// When second 0 of its plan is, milliseconds since 1970.
    pub begins_ms: i64,
    /// What can be carried out; shared with whoever plans beside the night.
    pub run: Arc<Run>,
    /// Its pieces; likewise.
    pub pieces: Arc<Vec<Piece>>,
    /// The plan in force.
    pub plan: Plan,
    /// The same as it is sent, in each language.
    pub sheets: BTreeMap<&'static str, Sheet>,
    /// The people of the plan, by position; who came later follows.
    pub crew: Vec<String>,
    /// The events of the run.
    pub events: Vec<Stored>,
    /// What they have come to.
    pub night: Night,
    /// What tells apart the lengths of steps that it was planned with.
    pub timed: String,
    /// Each machine's form as it is sent.
    pub forms: BTreeMap<String, Sheet>,
}

/// All that is needed to plan the rest of a night anew, taken at one moment: the planning itself takes long, and nobody
/// waits for it.
pub struct Again {
    id: Option<String>,
    timed: String,
    run: Arc<Run>,
    pieces: Arc<Vec<Piece>>,
    plan: Plan,
    states: Vec<State>,
    whens: Vec<BTreeMap<usize, i64>>,
    crew: Vec<Hand>,
    begins_ms: i64,
    now_s: u32,
}

impl Again {
    /// The rest of the night planned anew; `None` where that finds nothing, and the old plan stays.
    pub fn planned(&self) -> Option<Plan> {
        let seen: Vec<Seen<'_>> =
            self.states.iter().zip(&self.whens).map(|(state, when)| Seen { state, when }).collect();
        let budget = ft_plan::Budget::units(AGAIN_UNITS, 1);
        let at = (self.begins_ms, self.now_s);
        ft_run::again(&self.run, &self.pieces, &self.plan, &seen, &self.crew, at, &budget)
    }

    /// Whether it is about this night, with the lengths of steps that it is planned with now.
    pub fn is_of(&self, current: &Current) -> bool {
        self.id == current.id && self.timed == current.timed
    }
}

impl Current {
    /// A night that could begin, or has begun.
    pub fn new(id: Option<String>, procedure: &str, begins_ms: i64, run: Run, plan: Plan) -> Self {
        let pieces = Arc::new(ft_run::pieces(&run));
        let crew = run.problem.people.iter().map(|person| person.name.clone()).collect();
        let mut current = Self {
            id,
            procedure: procedure.to_owned(),
            begins_ms,
            pieces,
            plan,
            crew,
            events: Vec::new(),
            night: Night::default(),
            timed: String::new(),
            sheets: BTreeMap::new(),
            forms: BTreeMap::new(),
            run: Arc::new(run),
        };
        for live in &current.run.machines {
            let form = Sheet::read(ft_form::json::print(&live.form));
            current.forms.insert(live.ready.name.clone(), form);
        }
        current.refold();
        current.write_plan();
        current
    }

    /// The night begins now, under this name.
    pub fn begin(&mut self, id: &str, now_ms: i64) {
        self.id = Some(id.to_owned());
        self.begins_ms = now_ms;
        self.write_plan();
    }

    /// Another plan is in force.
    pub fn follow(&mut self, plan: Plan) {
        self.plan = plan;
        self.write_plan();
    }

    fn write_plan(&mut self) {
        self.sheets = LANGUAGES.map(|code| (code, Sheet::of(&self.rows(code)))).into_iter().collect();
    }

    /// Each machine's form, by name.
    pub fn by_name(&self) -> BTreeMap<String, &Form> {
        self.run.machines.iter().map(|live| (live.ready.name.clone(), &live.form)).collect()
    }

    /// Takes events of this run, in the record's order, and folds anew; what it has already is not taken twice.
    pub fn take(&mut self, stored: impl IntoIterator<Item = Stored>) {
        let known = self.events.last().map_or(0, |last| last.seq);
        self.events.extend(stored.into_iter().filter(|one| known < one.seq));
        self.refold();
    }

    fn refold(&mut self) {
        let forms = self.by_name();
        let night = fold::run(&forms, &self.events);
        self.night = night;
        // The plan's people keep their places; who came later follows in the order in which they came.
        let mut later: Vec<(i64, String)> = self
            .night
            .people
            .iter()
            .filter(|(who, _)| !self.crew.contains(who))
            .map(|(who, here)| (here.since_ms, who.clone()))
            .collect();
        later.sort();
        self.crew.extend(later.into_iter().map(|(_, who)| who));
    }

    /// Whether this event is of the run.
    pub fn has(&self, event: &Event) -> bool {
        self.id.is_some() && (event.run == self.id || Some(&event.id) == self.id.as_ref())
    }

    /// What has been said about a part.
    pub fn part(&self, machine: &str, part: &ft_record::PartRef) -> Option<&ft_record::fold::PartNow> {
        self.night.parts.get(machine)?.get(part)
    }

    /// Whether somebody is here.
    pub fn is_here(&self, name: &str) -> bool {
        self.night.present().any(|who| who == name)
    }

    /// Whether somebody signed for it.
    pub fn is_signed(&self) -> bool {
        !self.night.signed.is_empty()
    }

    /// Whether everything has happened.
    pub fn is_finished(&self) -> bool {
        self.id.is_some() && self.night.machines.values().all(|machine| machine.state.is_finished())
    }

    /// The state of each machine, in the run's order.
    pub fn states(&self) -> Vec<State> {
        let of = |live: &ft_run::Live| match self.night.machines.get(&live.ready.name) {
            Some(machine) => machine.state.clone(),
            None => State::start(&live.form),
        };
        self.run.machines.iter().map(of).collect()
    }

    /// When everybody has to be out by the kitchen's hours, whenever the night began; milliseconds since 1970.
    pub fn out_by_ms(&self) -> Option<i64> {
        let by_s = self.run.problem.deadline_s?;
        let begins_min = self.run.view.begins_min;
        let evening = crate::clock::evening_of(begins_min, self.begins_ms);
        Some(crate::clock::today_at(begins_min + by_s / 60, evening))
    }

    /// The plan's rows in a language.
    pub fn rows(&self, language: &str) -> PlanRows {
        ft_run::rows(&self.run, &self.pieces, &self.plan, &self.crew, self.begins_ms, language)
    }

    /// Whether the plan in force no longer says how things stand: somebody is late by more than `late_s`, came or
    /// left, or something happened out of its turn.
    pub fn is_off_plan(&self, event: &Event, late_s: i64) -> bool {
        match &event.fact {
            Fact::PersonJoined { .. }
            | Fact::PersonLeft { .. }
            | Fact::Differed { .. }
            | Fact::Corrected { .. }
            | Fact::PartMissing { .. } => true,
            Fact::Happened { event: name } => {
                let Some(machine) = event.machine.as_ref() else { return false };
                let row = self.piece_of(machine, name);
                row.is_some_and(|(_, end_ms)| (event.at_ms - end_ms).abs() > 1000 * late_s)
            }
            _ => false,
        }
    }

    /// Begin and end of the piece that an event of a machine's form belongs to, milliseconds since 1970.
    fn piece_of(&self, machine: &str, name: &str) -> Option<(i64, i64)> {
        let number = self.run.machines.iter().position(|live| live.ready.name == machine)?;
        let event = self.run.machines[number].event(name)?;
        let piece =
            self.pieces.iter().find(|piece| piece.machine == number && piece.events.contains(&event))?;
        let (first, last) = piece.phases;
        let at = |second: u32| self.begins_ms + 1000 * i64::from(second);
        let begin = self.plan.find(piece.plan_task, first)?.start_s;
        let end = self.plan.find(piece.plan_task, last)?.end_s;
        Some((at(begin), at(end)))
    }

    /// What is needed to plan the rest of the night anew.
    pub fn again(&self, now_ms: i64) -> Again {
        let second = |at_ms: i64| ((at_ms - self.begins_ms).max(0) / 1000) as u32;
        let when = |live: &ft_run::Live| match self.night.machines.get(&live.ready.name) {
            Some(machine) => machine.done.iter().map(|done| (done.event, done.at_ms)).collect(),
            None => BTreeMap::new(),
        };
        let hand = |name: &String| {
            let known = self.night.people.get(name);
            Hand {
                name: name.clone(),
                from_s: known.map_or(0, |here| second(here.since_ms)),
                left_s: known.and_then(|here| here.left_ms.map(second)),
            }
        };
        Again {
            id: self.id.clone(),
            timed: self.timed.clone(),
            run: Arc::clone(&self.run),
            pieces: Arc::clone(&self.pieces),
            plan: self.plan.clone(),
            states: self.states(),
            whens: self.run.machines.iter().map(when).collect(),
            crew: self.crew.iter().map(hand).collect(),
            begins_ms: self.begins_ms,
            now_s: second(now_ms),
        }
    }
}
