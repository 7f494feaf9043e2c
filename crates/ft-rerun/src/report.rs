//! What the record of a chain says, and what other habits would have changed.

use std::fmt::Write as _;

use ft_growth::RateCurve;
use ft_growth::advice::{Advice, Reason};
use ft_growth::organisms::{Growth, Organism, Shown};
use ft_growth::report::CAUTION;
use ft_maths::log10;
use serde::Serialize;

use crate::days::{Day, DayState, Variant, run};
use crate::ledger::{BadMove, Mixing};

/// The record of a chain and its variants.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RerunReport {
    /// One line for each day.
    pub days: Vec<DayLine>,
    /// What other habits would have changed, worst first day to last.
    pub variants: Vec<VariantLine>,
    /// What the chain adds to the dates that hold.
    pub advice: Advice,
    /// Said with every prediction.
    pub caution: &'static str,
}

/// The blend of one day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayLine {
    /// Counts from 1.
    pub number: usize,
    /// Litres of the blend.
    pub litres: f64,
    /// Share of it that was carried over, 0 to 1.
    pub carried_share: f64,
    /// The oldest lot in it.
    pub oldest_lot: Option<String>,
    /// Age of that lot in days when the blend was made.
    pub oldest_days: Option<f64>,
    /// Its share of the volume.
    pub oldest_share: Option<f64>,
    /// The earliest date of its parts, hours since the beginning of the books: that of the whole blend.
    pub discard_by_h: Option<f64>,
    /// For each organism, how the count compares with fresh mix.
    pub growth: Vec<Level>,
}

/// How a count compares with that of fresh mix, log10.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Level {
    /// The organism's id.
    pub id: String,
    /// As blended.
    pub blended_log10: f64,
    /// When the next blend was made.
    pub at_end_log10: f64,
}

/// The worst level under one habit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VariantLine {
    /// What the habit is.
    pub habit: String,
    /// For each organism its id and its worst level over fresh mix, log10.
    pub worst_log10: Vec<(String, f64)>,
}

/// Runs a record as it was and with weekly and daily discards and a shelf `colder_by` °C colder.
///
/// # Errors
/// [`BadMove`], as [`run`]; also an empty record.
pub fn report(
    days: &[Day],
    organisms: &[Organism],
    mixing: Mixing,
    colder_by: f64,
) -> Result<RerunReport, BadMove> {
    if days.is_empty() {
        return Err(BadMove("the record holds no day; write at least one".into()));
    }
    let growing: Vec<(&Organism, &Growth)> = organisms
        .iter()
        .filter_map(|organism| match &organism.shown {
            Shown::Growth { growth, .. } => Some((organism, growth)),
            Shown::TimeAbove { .. } => None,
        })
        .collect();
    let curves: Vec<RateCurve> = growing.iter().map(|(_, growth)| growth.curve.clone()).collect();
    let recorded = run(days, &curves, mixing, Variant::AsRecorded)?;
    let habits = [
        ("as recorded".to_owned(), Variant::AsRecorded),
        ("discarded every 7 days".to_owned(), Variant::DiscardEvery(7)),
        ("discarded every day".to_owned(), Variant::DiscardEvery(1)),
        (format!("shelf {colder_by} °C colder"), Variant::ColderBy(colder_by)),
    ];
    let mut variants = Vec::new();
    for (habit, variant) in habits {
        let states = run(days, &curves, mixing, variant)?;
        let worst_log10 = growing
            .iter()
            .enumerate()
            .map(|(o, (organism, _))| (organism.id.clone(), worst(&states, o)))
            .collect();
        variants.push(VariantLine { habit, worst_log10 });
    }
    let lines: Vec<DayLine> = days
        .iter()
        .zip(&recorded)
        .enumerate()
        .map(|(index, (day, state))| day_line(index + 1, day, state, &growing))
        .collect();
    let advice = advice(days, &recorded, &growing);
    Ok(RerunReport { days: lines, variants, advice, caution: CAUTION })
}

fn worst(states: &[DayState], organism: usize) -> f64 {
    states.iter().map(|state| log10(state.at_end[organism])).fold(0.0, f64::max)
}

fn day_line(number: usize, day: &Day, state: &DayState, growing: &[(&Organism, &Growth)]) -> DayLine {
    let oldest = state.oldest.as_ref();
    let growth = growing
        .iter()
        .enumerate()
        .map(|(index, (organism, _))| Level {
            id: organism.id.clone(),
            blended_log10: log10(state.blended[index]),
            at_end_log10: log10(state.at_end[index]),
        })
        .collect();
    DayLine {
        number,
        litres: state.litres,
        carried_share: if state.litres > 0.0 { state.carried_litres / state.litres } else { 0.0 },
        oldest_lot: oldest.map(|(lot, _)| lot.id.clone()),
        oldest_days: oldest.map(|(lot, _)| (day.lot.made_h - lot.made_h) / 24.0),
        oldest_share: oldest.map(|(_, share)| *share),
        discard_by_h: state.discard_by_h,
        growth,
    }
}

fn advice(days: &[Day], states: &[DayState], growing: &[(&Organism, &Growth)]) -> Advice {
    let mut gravest = Advice::NothingToAdd;
    for (index, (day, state)) in days.iter().zip(states).enumerate() {
        for ((organism, growth), factor) in growing.iter().zip(&state.at_end) {
            let level = log10(*factor);
            let reason = || Reason {
                at_h: day.lot.made_h,
                because: format!(
                    "by the end of day {} the chain is predicted to hold {level:.1} log10 more {} than fresh mix",
                    index + 1,
                    organism.name
                ),
            };
            let next = if level >= growth.discard_log10 {
                Advice::DiscardEarlier(reason())
            } else if level >= growth.hold_log10 {
                Advice::HoldForDecision(reason())
            } else {
                Advice::NothingToAdd
            };
            gravest = gravest.or(next);
        }
    }
    gravest
}

impl RerunReport {
    /// The report as plain text.
    pub fn text(&self) -> String {
        let mut text = format!("Advice: {}.\n\n", self.advice);
        for day in &self.days {
            let _ = write!(
                text,
                "Day {}: {:.1} L, {:.0} % carried over",
                day.number,
                day.litres,
                100.0 * day.carried_share
            );
            if let (Some(lot), Some(age), Some(share)) = (&day.oldest_lot, day.oldest_days, day.oldest_share)
            {
                let _ = write!(text, "; oldest part: lot {lot}, {age:.1} days, {:.2} %", 100.0 * share);
            }
            if let Some(date) = day.discard_by_h {
                let _ = write!(text, "; the whole blend goes by hour {date:.0}, the date of its oldest part");
            }
            text.push('\n');
            for level in &day.growth {
                let _ = writeln!(
                    text,
                    "  {}: {:.1} log10 over fresh mix as blended, {:.1} at the end",
                    level.id, level.blended_log10, level.at_end_log10
                );
            }
        }
        text.push_str("\nWorst level over fresh mix, log10:\n");
        for variant in &self.variants {
            let levels: Vec<String> =
                variant.worst_log10.iter().map(|(id, level)| format!("{id} {level:.1}")).collect();
            let _ = writeln!(text, "  {}: {}", variant.habit, levels.join(", "));
        }
        let _ = write!(
            text,
            "\nAssumes clean contact surfaces. Levels may be off by 1 log10 to either side.\n{}\n",
            self.caution
        );
        text
    }
}
