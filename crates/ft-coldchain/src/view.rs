//! A log as it is shown: plain numbers and words, for JSON and for text.

use std::fmt::Write as _;

use serde::Serialize;

use crate::history::Summary;
use crate::import::Import;
use crate::{CAUTION, WindowOutcome, WindowVerdict};

/// A log, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct ColdchainView {
    /// Rows below the header.
    pub rows: u64,
    /// Rows that became readings.
    pub used: u64,
    /// Rows left out, by reason.
    pub left_out: Vec<ReasonCount>,
    /// The first of them.
    pub listed: Vec<LeftOutView>,
    /// Readings in another unit than the mapping's, converted.
    pub other_unit: u64,
    /// Readings in an hour that the clock showed twice, taken as the earlier.
    pub guessed_hour: u64,
    /// First moment, UTC.
    pub from: Option<String>,
    /// Last moment, UTC.
    pub until: Option<String>,
    /// Coldest reading.
    pub coldest: Option<String>,
    /// Warmest reading.
    pub warmest: Option<String>,
    /// Gaps.
    pub gaps: u64,
    /// Minutes in gaps: unknown.
    pub gap_min: f64,
    /// Time above each limit.
    pub above: Vec<AboveView>,
    /// Cooling windows.
    pub cooling: Vec<WindowView>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// How many rows were left out for one reason.
#[derive(Debug, Clone, Serialize)]
pub struct ReasonCount {
    /// Why.
    pub reason: &'static str,
    /// How many.
    pub rows: u64,
}

/// A row that was left out, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOutView {
    /// Line of the file.
    pub line: u64,
    /// Why.
    pub reason: &'static str,
    /// What it said.
    pub said: String,
}

/// Time above a limit, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct AboveView {
    /// The limit.
    pub limit: String,
    /// Known to be above, minutes.
    pub known_min: f64,
    /// In gaps, minutes.
    pub unknown_min: f64,
    /// The longest without a break, minutes.
    pub longest_min: f64,
}

/// A cooling window, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct WindowView {
    /// The window in words.
    pub window: String,
    /// `pass`, `fail`, `open` or `not told`.
    pub verdict: &'static str,
    /// The least and the most minutes that it can have taken.
    pub took_min: Option<(f64, f64)>,
}

impl ColdchainView {
    /// The view of a log.
    pub fn new(import: &Import, summary: &Summary, cooling: &[WindowOutcome]) -> Self {
        let above = summary.above.iter().map(|above| AboveView {
            limit: above.limit.to_string(),
            known_min: above.known_s / 60.0,
            unknown_min: above.unknown_s / 60.0,
            longest_min: above.longest_s / 60.0,
        });
        let listed = import.listed.iter().map(|row| LeftOutView {
            line: row.line,
            reason: row.reason.says(),
            said: row.said.clone(),
        });
        let left_out =
            import.left_out.iter().map(|(reason, rows)| ReasonCount { reason: reason.says(), rows: *rows });
        let mut cautions = Vec::new();
        if summary.gaps > 0 {
            cautions.push("Gaps are unknown: nothing is assumed of them.".to_owned());
        }
        if import.guessed_hour > 0 {
            cautions.push(
                "Some times lie in the hour that the clock showed twice; the earlier was taken.".to_owned(),
            );
        }
        cautions.push(CAUTION.to_owned());
        Self {
            rows: import.rows,
            used: import.used,
            left_out: left_out.collect(),
            listed: listed.collect(),
            other_unit: import.other_unit,
            guessed_hour: import.guessed_hour,
            from: summary.span.map(|(from, _)| from.to_string()),
            until: summary.span.map(|(_, until)| until.to_string()),
            coldest: summary.extremes.map(|(coldest, _)| coldest.to_string()),
            warmest: summary.extremes.map(|(_, warmest)| warmest.to_string()),
            gaps: summary.gaps,
            gap_min: summary.gap_s / 60.0,
            above: above.collect(),
            cooling: cooling.iter().map(WindowView::from).collect(),
            cautions,
        }
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let mut text = format!("{} rows, {} used\n", self.rows, self.used);
        for count in &self.left_out {
            let _ = writeln!(text, "  left out {}: {}", count.rows, count.reason);
        }
        for row in &self.listed {
            let _ = writeln!(text, "    line {}: {} ({})", row.line, row.said, row.reason);
        }
        if let (Some(from), Some(until)) = (&self.from, &self.until) {
            let _ = writeln!(text, "  from     {from} to {until}");
        }
        if let (Some(coldest), Some(warmest)) = (&self.coldest, &self.warmest) {
            let _ = writeln!(text, "  between  {coldest} and {warmest}");
        }
        let _ = writeln!(text, "  gaps     {}, {:.1} min unknown", self.gaps, self.gap_min);
        for above in &self.above {
            let _ = writeln!(
                text,
                "  above {}: {:.1} min, longest {:.1} min, unknown {:.1} min",
                above.limit, above.known_min, above.longest_min, above.unknown_min
            );
        }
        for window in &self.cooling {
            let _ = writeln!(text, "  cooling  {}: {}", window.window, window.verdict);
        }
        for caution in &self.cautions {
            let _ = writeln!(text, "{caution}");
        }
        text
    }
}

impl From<&WindowOutcome> for WindowView {
    fn from(outcome: &WindowOutcome) -> Self {
        let window = outcome.window;
        let from = window.from.map_or("the start".to_owned(), |from| from.to_string());
        let verdict = match outcome.verdict {
            WindowVerdict::Fail => "fail",
            WindowVerdict::NotTold => "not told",
            WindowVerdict::Open => "open",
            WindowVerdict::Pass => "pass",
        };
        Self {
            window: format!("from {from} to {} within {}", window.to, window.within),
            verdict,
            took_min: outcome.took_s.map(|(least, most)| (least / 60.0, most / 60.0)),
        }
    }
}
