//! One history, one reading at a time: memory does not grow with its length.

use ft_growth::{Advice, GapRule, Reason};
use std::f64::consts::LN_10;

use crate::outcome::{LeftOut, Outcome, Subject};
use crate::packed;
use crate::table::{Centi, centi_from_celsius, centis_from_celsius};

/// How many left-out readings are listed; all are counted.
const LISTED: usize = 20;

/// The sums of a history so far.
#[derive(Debug, Clone)]
pub struct Accumulator<'a> {
    subjects: &'a [Subject],
    rule: GapRule,
    first: Option<(u64, f64, Centi)>,
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
            first: None,
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
        self.first.get_or_insert((line, hours, centi));
        self.last = Some((hours, centi));
        self.readings += 1;
        self.warmest = self.warmest.max(Some(centi));
    }

    /// Takes readings in order, the first of which is at `first_line`, the others on the lines after it.
    ///
    /// The same as pushing one after the other. Readings at equal steps, which is what loggers write, are summed as
    /// [`packed`] logs, ten times as fast.
    pub fn push_all(&mut self, first_line: u64, hours: &[f64], celsius: &[f64]) {
        let Some((step, centi)) = self.uniform(hours, celsius) else {
            for (line, (hours, celsius)) in (first_line..).zip(hours.iter().zip(celsius)) {
                self.push(line, *hours, *celsius);
            }
            return;
        };
        // The first reading joins on to what came before, or is left out if it comes too early; so may others then.
        let before = self.readings;
        self.push(first_line, hours[0], celsius[0]);
        let last = hours.len() - 1;
        if self.readings == before {
            for (line, place) in (first_line + 1..).zip(1..=last) {
                self.push(line, hours[place], celsius[place]);
            }
            return;
        }
        let Some(sums) = packed::moments(&centi) else { return };
        for (dose, subject) in self.doses.iter_mut().zip(self.subjects) {
            *dose += packed::dose(&centi, &sums, &subject.table, step);
        }
        self.hours += hours[last] - hours[0];
        self.readings += last as u64;
        self.warmest = self.warmest.max(Some(sums.warmest));
        self.last = Some((hours[last], centi[last]));
    }

    /// The common step and the temperatures, if every reading is good, the steps are equal and none is a gap.
    fn uniform(&self, hours: &[f64], celsius: &[f64]) -> Option<(f64, Vec<Centi>)> {
        if hours.len() < 3 || hours.len() != celsius.len() {
            return None;
        }
        let step = (hours[hours.len() - 1] - hours[0]) / (hours.len() - 1) as f64;
        let is_even = |pair: &[f64]| (pair[1] - pair[0] - step).abs() <= 1e-7 * step;
        if !(0.0 < step && step <= self.rule.longest_h && hours.windows(2).all(is_even)) {
            return None;
        }
        Some((step, centis_from_celsius(celsius)?))
    }

    /// Goes on with the sums of what follows the readings so far, as if its readings had been pushed here.
    ///
    /// When it begins before the readings so far end, its first reading is listed as left out and the stretch
    /// between is not counted; its own stretches are.
    pub fn append(&mut self, next: Self) {
        if let Some((line, hours, centi)) = next.first {
            if let Some((last_hours, last_centi)) = self.last {
                let step = hours - last_hours;
                if step <= 0.0 {
                    self.leave_out(line, not_later(step));
                } else {
                    self.stretch(last_centi, centi, step);
                }
            }
            self.first.get_or_insert((line, hours, centi));
        }
        self.last = next.last.or(self.last);
        self.readings += next.readings;
        self.hours += next.hours;
        self.warmest = self.warmest.max(next.warmest);
        for (dose, more) in self.doses.iter_mut().zip(next.doses) {
            *dose += more;
        }
        self.gaps += next.gaps;
        self.gap_hours += next.gap_hours;
        let unlisted = next.left_out_count - next.left_out.len() as u64;
        for left_out in next.left_out {
            self.leave_out(left_out.line, left_out.why);
        }
        self.left_out_count += unlisted;
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
