//! One history, one reading at a time: memory does not grow with its length.

use ft_growth::{Advice, GapRule, Reason};
use std::f64::consts::LN_10;

use crate::outcome::{LeftOut, Outcome, Subject};
use crate::table::{Centi, centi_from_celsius};

/// How many left-out readings are listed; all are counted.
const LISTED: usize = 20;

/// The sums of a history so far.
#[derive(Debug, Clone)]
pub struct Accumulator<'a> {
    subjects: &'a [Subject],
    rule: GapRule,
    last: Option<(f64, Centi)>,
    readings: u64,
    hours: f64,
    warmest: Option<Centi>,
    doses: Vec<f64>,
    gaps: u64,
    gap_hours: f64,
    left_out_count: u64,
    left_out: Vec<LeftOut>,
}

impl<'a> Accumulator<'a> {
    /// Nothing yet. Ambient temperatures outside what is plausible count as unknown.
    pub fn new(subjects: &'a [Subject], rule: GapRule) -> Self {
        Self {
            subjects,
            rule,
            last: None,
            readings: 0,
            hours: 0.0,
            warmest: None,
            doses: vec![0.0; subjects.len()],
            gaps: 0,
            gap_hours: 0.0,
            left_out_count: 0,
            left_out: Vec::new(),
        }
    }

    /// Takes a reading `hours` after any fixed moment, at `line` of its file.
    ///
    /// A reading that is no number, not plausible, or not later than the one before it is left out, counted and
    /// listed; it never shortens the time that is counted.
    pub fn push(&mut self, line: u64, hours: f64, celsius: f64) {
        let Some(centi) = centi_from_celsius(celsius) else {
            return self.leave_out(line, format!("{celsius} °C is not plausible; is the log in °F?"));
        };
        if !hours.is_finite() {
            return self.leave_out(line, "the time is not a number".into());
        }
        if let Some((last_hours, last_centi)) = self.last {
            let step = hours - last_hours;
            if step <= 0.0 {
                return self.leave_out(line, not_later(step));
            }
            self.stretch(last_centi, centi, step);
        }
        self.last = Some((hours, centi));
        self.readings += 1;
        self.warmest = self.warmest.max(Some(centi));
    }

    /// Leaves out what cannot even be read as a reading.
    pub fn leave_out(&mut self, line: u64, why: String) {
        self.left_out_count += 1;
        if self.left_out.len() < LISTED {
            self.left_out.push(LeftOut { line, why });
        }
    }

    fn stretch(&mut self, from: Centi, to: Centi, step: f64) {
        let (mut from, mut to) = (from, to);
        if step > self.rule.longest_h * (1.0 + 1e-9) {
            let ambient = self.rule.ambient.and_then(centi_from_celsius);
            from = from.max(to).max(ambient.unwrap_or(Centi::MIN));
            to = from;
            self.warmest = self.warmest.max(Some(from));
            self.gaps += 1;
            self.gap_hours += step;
        }
        self.hours += step;
        for (dose, subject) in self.doses.iter_mut().zip(self.subjects) {
            *dose += step * subject.table.mean_rate(from, to);
        }
    }

    /// What the readings so far add up to.
    pub fn finish(self, name: String) -> Outcome {
        let advice = self.advice().words();
        Outcome {
            name,
            readings: self.readings,
            hours: self.hours,
            warmest_c: self.warmest.map(|centi| f64::from(centi) / 100.0),
            increase_log10: self.doses.iter().map(|dose| dose / LN_10).collect(),
            gaps: self.gaps,
            gap_hours: self.gap_hours,
            left_out_count: self.left_out_count,
            left_out: self.left_out,
            advice,
        }
    }

    /// A gap, a reading left out, or nothing to go by are for somebody to decide.
    fn advice(&self) -> Advice {
        let because = |text: &str| Reason { at_h: self.hours, because: text.into() };
        let reached = |limit: fn(&Subject) -> f64| {
            self.doses.iter().zip(self.subjects).any(|(dose, s)| *dose >= limit(s))
        };
        if reached(|subject| subject.discard_ln) {
            return Advice::DiscardEarlier(because("predicted growth"));
        }
        if self.gaps > 0 || self.left_out_count > 0 || self.readings < 2 || reached(|subject| subject.hold_ln)
        {
            return Advice::HoldForDecision(because("predicted growth or an incomplete log"));
        }
        Advice::NothingToAdd
    }
}

fn not_later(step: f64) -> String {
    if step == 0.0 {
        "the same time as the reading before it".into()
    } else {
        format!("{:.0} min earlier than the reading before it", -60.0 * step)
    }
}
