//! The answer to one history, for a screen, a page or a record.

use std::fmt::Write as _;

use ft_maths::LN_10;
use serde::Serialize;

use crate::advice::{Advice, Reason};
use crate::dose::{dose, first_above, time_above, time_of_dose};
use crate::history::{History, Segment};
use crate::organisms::{Growth, Organism, Shown, Source};
use crate::primary::ln_count;

/// Said with every prediction.
pub const CAUTION: &str = "A low prediction gives no permission: it cancels no breach of a limit and lengthens no \
    date. It knows nothing of toxin, of film in the machine, or of what hands bring in. It advises; local rules, the \
    equipment's own instructions and a qualified person decide.";

/// What is asked of a history.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Question {
    /// What the history counts from, for the sentences: `preparation`, `last boil`.
    pub since: String,
    /// Laboratory counts by organism id, log10 per mL; without one only an increase is shown.
    pub counts_log10: Vec<(String, f64)>,
}

/// What a history means for each organism, and what that adds to the dates that hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrowthReport {
    /// What the history counts from.
    pub since: String,
    /// How long the history is, h.
    pub hours: f64,
    /// Warmest temperature in it, °C.
    pub warmest_c: f64,
    /// What growth adds: the gravest over all organisms.
    pub advice: Advice,
    /// Organisms for which a prediction is shown.
    pub growth: Vec<Line>,
    /// Organisms for which only a time is shown.
    pub times: Vec<TimeLine>,
    /// Stretches without readings and what was assumed there.
    pub gaps: Vec<GapLine>,
    /// Said with every prediction.
    pub caution: &'static str,
}

/// Predicted growth of one organism.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Predicted increase, log10; to be shown with one decimal.
    pub increase_log10: f64,
    /// Low end of the band, log10, not below zero.
    pub low_log10: f64,
    /// High end of the band, log10.
    pub high_log10: f64,
    /// Predicted count, log10 per mL, only where a laboratory count was given.
    pub count_log10: Option<f64>,
    /// Hours warmer than the temperatures that were studied.
    pub above_studied_h: f64,
    /// Hours colder than the temperatures that were studied.
    pub below_studied_h: f64,
    /// Coldest and warmest temperature that was studied, °C.
    pub studied_c: (f64, f64),
    /// What this organism alone would have us say.
    pub advice: Advice,
    /// What must be said with it.
    pub cautions: Vec<String>,
    /// Where its figures come from.
    pub sources: Vec<Source>,
}

/// Time above the least temperature of one organism.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeLine {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The temperature, °C.
    pub above_c: f64,
    /// Hours above it.
    pub hours: f64,
    /// What must be said with it.
    pub cautions: Vec<String>,
    /// Where the temperature comes from.
    pub sources: Vec<Source>,
}

/// A stretch without readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GapLine {
    /// Hours since the start at which it begins.
    pub at_h: f64,
    /// How long it is, h.
    pub hours: f64,
    /// What was assumed, °C.
    pub taken_as_c: f64,
}

/// What a history means for the organisms.
pub fn report(history: &History, organisms: &[Organism], question: &Question) -> GrowthReport {
    let mut growth = Vec::new();
    let mut times = Vec::new();
    for organism in organisms {
        match &organism.shown {
            Shown::Growth { from_c, growth: model } => {
                if from_c.is_none_or(|from| first_above(history, from).is_some()) {
                    growth.push(line(history, organism, model, question));
                }
            }
            Shown::TimeAbove { celsius } => times.push(TimeLine {
                id: organism.id.clone(),
                name: organism.name.clone(),
                above_c: *celsius,
                hours: time_above(history, *celsius),
                cautions: organism.cautions.clone(),
                sources: organism.sources.clone(),
            }),
        }
    }
    let gaps: Vec<GapLine> = history.gaps().map(gap_line).collect();
    let advice = growth.iter().map(|line| line.advice.clone()).fold(advice_on_gaps(&gaps), Advice::or);
    GrowthReport {
        since: question.since.clone(),
        hours: history.hours(),
        warmest_c: history.warmest(),
        advice,
        growth,
        times,
        gaps,
        caution: CAUTION,
    }
}

fn line(history: &History, organism: &Organism, growth: &Growth, question: &Question) -> Line {
    let grown = dose(history, &growth.curve);
    let increase_log10 = grown / LN_10;
    let count = question.counts_log10.iter().find(|(id, _)| *id == organism.id);
    let count_log10 =
        count.map(|(_, log10)| ln_count(log10 * LN_10, growth.ceiling_log10 * LN_10, 1.0, grown) / LN_10);
    let above_studied_h = time_above(history, growth.studied_c.1);
    Line {
        id: organism.id.clone(),
        name: organism.name.clone(),
        increase_log10,
        low_log10: (increase_log10 - growth.band_log10).max(0.0),
        high_log10: increase_log10 + growth.band_log10,
        count_log10,
        above_studied_h,
        below_studied_h: history.hours() - time_above(history, growth.studied_c.0),
        studied_c: growth.studied_c,
        advice: advice_on_growth(history, organism, growth),
        cautions: organism.cautions.clone(),
        sources: organism.sources.clone(),
    }
}

fn advice_on_growth(history: &History, organism: &Organism, growth: &Growth) -> Advice {
    let reached = |log10: f64| {
        let at_h = time_of_dose(history, &growth.curve, log10 * LN_10)?;
        let because = format!("{} is predicted to have grown by {log10} log10 at {at_h:.1} h", organism.name);
        Some(Reason { at_h, because })
    };
    if let Some(reason) = reached(growth.discard_log10) {
        return Advice::DiscardEarlier(reason);
    }
    reached(growth.hold_log10).map_or(Advice::NothingToAdd, Advice::HoldForDecision)
}

fn advice_on_gaps(gaps: &[GapLine]) -> Advice {
    gaps.first().map_or(Advice::NothingToAdd, |gap| {
        Advice::HoldForDecision(Reason {
            at_h: gap.at_h,
            because: format!(
                "no readings for {:.1} h from {:.1} h; find out what happened then",
                gap.hours, gap.at_h
            ),
        })
    })
}

fn gap_line(segment: &Segment) -> GapLine {
    GapLine { at_h: segment.start, hours: segment.hours, taken_as_c: segment.from }
}

impl GrowthReport {
    /// The report as plain text, lines of at most about a hundred characters apart from sources.
    pub fn text(&self) -> String {
        let mut text = format!(
            "Growth over {:.1} h since {}, warmest {:.1} °C.\nAdvice: {}.\n",
            self.hours, self.since, self.warmest_c, self.advice
        );
        for line in &self.growth {
            line.write(&mut text);
        }
        for line in &self.times {
            let _ = write!(text, "\n{}: {:.1} h above {} °C", line.name, line.hours, line.above_c);
            write_notes(&mut text, &line.cautions, &line.sources);
        }
        for gap in &self.gaps {
            let _ = write!(
                text,
                "\nNo readings for {:.1} h from {:.1} h: taken as {:.1} °C throughout, the warmest of both ends \
                 and of the surroundings where they are known.",
                gap.hours, gap.at_h, gap.taken_as_c
            );
        }
        let _ = write!(text, "\n\n{}\n", self.caution);
        text
    }
}

impl Line {
    fn write(&self, text: &mut String) {
        let _ = write!(
            text,
            "\n{}: {:.1} log10 more (band {:.1} to {:.1})",
            self.name, self.increase_log10, self.low_log10, self.high_log10
        );
        if let Some(count) = self.count_log10 {
            let _ = write!(text, ", from the count that was given to {count:.1} log10 per mL");
        }
        if self.above_studied_h > 0.0 {
            let _ = write!(
                text,
                "\n  outside the data: {:.1} h above {} °C, where nothing was measured",
                self.above_studied_h, self.studied_c.1
            );
        }
        if self.below_studied_h > 0.0 {
            let _ = write!(
                text,
                "\n  outside the data: {:.1} h at or below {} °C; the line is drawn on",
                self.below_studied_h, self.studied_c.0
            );
        }
        write_notes(text, &self.cautions, &self.sources);
    }
}

fn write_notes(text: &mut String, cautions: &[String], sources: &[Source]) {
    for caution in cautions {
        let _ = write!(text, "\n  note: {caution}");
    }
    for source in sources {
        let _ = write!(text, "\n  source: {} ({}; {})", source.what, source.place, source.status);
    }
}
