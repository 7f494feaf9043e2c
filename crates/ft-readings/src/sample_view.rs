//! What `fulltray sample` shows: the verdict on counts, and how often a bad lot would have passed.

use std::fmt::Write as _;

use serde::Serialize;

use crate::plan::{Plan, Verdict, parse_count};
use crate::rolling::{self, Rolling};
use crate::table::Column;
use crate::{BadReadings, heads, swab};

/// The answer for a plan with n, c, m and perhaps M.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanView {
    /// `satisfactory`, `acceptable`, `unsatisfactory` or `cannot tell`.
    pub verdict: &'static str,
    /// Counts that could not be read.
    pub left_out: Vec<String>,
    /// Share above m, and probability that a lot like that passes (none of it above M).
    pub curve: Vec<[f64; 2]>,
    /// The share above m that passes half of the time.
    pub half: Option<f64>,
    /// The share above m that passes one time in twenty.
    pub twentieth: Option<f64>,
    /// Where the rule comes from.
    pub source: String,
    /// What to keep in mind.
    pub caution: String,
}

const PLAN_CAUTION: &str = "A passed lot is not a safe lot: few samples pass most lots that are a little bad. \
    The plan and limits of the place's own rule decide, and the laboratory's method must be the one that it names.";

/// Judges counts as laboratories write them (`120`, `<10`, `>30000`) by a plan.
///
/// A count that cannot be read is listed, and the verdict is then `cannot tell`.
pub fn plan(plan: &Plan, counts: &[&str]) -> PlanView {
    let mut left_out = Vec::new();
    let mut read = Vec::new();
    for text in counts {
        match parse_count(text) {
            Some(count) => read.push(count),
            None => left_out.push(format!("`{text}` is not a count; write 120, <10 or >30000")),
        }
    }
    let verdict = match plan.judge(&read) {
        Verdict::Satisfactory => "satisfactory",
        Verdict::Acceptable => "acceptable",
        Verdict::Unsatisfactory => "unsatisfactory",
        Verdict::CannotTell => "cannot tell",
    };
    let shares = [0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8];
    PlanView {
        verdict,
        left_out,
        curve: shares.iter().map(|share| [*share, plan.accepts(*share, 0.0)]).collect(),
        half: plan.share_at(0.5),
        twentieth: plan.share_at(0.05),
        source: "the form of EU 2073/2005, Annex I (from memory); binomial and trinomial curves".to_owned(),
        caution: PLAN_CAUTION.to_owned(),
    }
}

/// The answer for "k of the last n".
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RollingView {
    /// `passes`, `one more fails` or `fails`.
    pub verdict: &'static str,
    /// Results that exceed their limit, counted from 1.
    pub exceeding: Vec<usize>,
    /// Share of results that exceed, and probability that the rule fails within 12 and within 52 results.
    pub odds: Vec<[f64; 3]>,
    /// Where the rule comes from.
    pub source: String,
    /// What to keep in mind.
    pub caution: String,
}

/// Judges results in order of time by a limit and "k of the last n".
pub fn rolling(rule: Rolling, results: &[f64], limit: f64) -> RollingView {
    let exceeds: Vec<bool> = results.iter().map(|result| result.is_nan() || limit < *result).collect();
    let verdict = match rule.judge(&exceeds) {
        rolling::Verdict::Passes => "passes",
        rolling::Verdict::OneMoreFails => "one more fails",
        rolling::Verdict::Fails => "fails",
    };
    let shares = [0.05, 0.1, 0.2, 0.3, 0.5];
    RollingView {
        verdict,
        exceeding: exceeds.iter().enumerate().filter(|(_, e)| **e).map(|(index, _)| index + 1).collect(),
        odds: shares.iter().map(|p| [*p, rule.fails_within(12, *p), rule.fails_within(52, *p)]).collect(),
        source: "the form of US state rules on frozen desserts (3 of the last 5)".to_owned(),
        caution: "Some places allow no result above the limit at any time: the rule of the place decides."
            .to_owned(),
    }
}

/// The answer for a plan as text for a terminal.
pub fn plan_text(view: &PlanView) -> String {
    let mut out = format!("verdict: {}\n", view.verdict);
    for line in &view.left_out {
        let _ = writeln!(out, "  left out: {line}");
    }
    out.push_str("share above m   passes\n");
    for [share, passes] in &view.curve {
        let _ = writeln!(out, "  {:>9.0} %  {:>6.1} %", share * 100.0, passes * 100.0);
    }
    if let (Some(half), Some(twentieth)) = (view.half, view.twentieth) {
        let _ = writeln!(
            out,
            "passes half of the time at {:.1} %, one time in twenty at {:.1} %",
            half * 100.0,
            twentieth * 100.0
        );
    }
    let _ = writeln!(out, "{}\nsource: {}", view.caution, view.source);
    out
}

/// The answer for "k of the last n" as text for a terminal.
pub fn rolling_text(view: &RollingView) -> String {
    let mut out = format!("verdict: {}\n", view.verdict);
    let _ = writeln!(out, "results that exceed: {:?}", view.exceeding);
    out.push_str("share that exceeds   fails within 12   within 52\n");
    for [share, dozen, year] in &view.odds {
        let _ =
            writeln!(out, "  {:>14.0} %  {:>14.1} %  {:>8.1} %", share * 100.0, dozen * 100.0, year * 100.0);
    }
    let _ = writeln!(out, "{}\nsource: {}", view.caution, view.source);
    out
}

/// The answer for a swab.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwabView {
    /// `pass`, `caution` or `fail`.
    pub verdict: &'static str,
    /// What to do.
    pub next: &'static str,
    /// Pass up to this.
    pub pass: f64,
    /// Fail from here on.
    pub fail: f64,
    /// What was left out of the baseline, and why.
    pub left_out: Vec<String>,
    /// Where the rule comes from.
    pub source: String,
    /// What to keep in mind.
    pub caution: String,
}

/// Judges a swab by a record of clean ones; `again` when it repeats a caution.
///
/// # Errors
/// [`BadReadings`] when the record does not make a baseline.
pub fn swab(clean: &Column, reading: f64, again: bool) -> Result<SwabView, BadReadings> {
    let known: Vec<f64> = clean.readings.iter().flatten().copied().collect();
    let baseline = swab::from_record(&known)?;
    let verdict = if again { baseline.judge_again(reading) } else { baseline.judge(reading) };
    let (verdict, next) = match verdict {
        swab::Verdict::Pass => ("pass", "nothing more"),
        swab::Verdict::Caution => ("caution", "swab again; a second caution counts as a failure"),
        swab::Verdict::Fail => ("fail", "clean the whole step again, sanitise again, swab again"),
    };
    Ok(SwabView {
        verdict,
        next,
        pass: baseline.pass,
        fail: baseline.fail,
        left_out: clean.problems.iter().map(|problem| format!("{}: {}", problem.code, problem.message)).collect(),
        source: "mean, and mean plus three standard deviations, of 20 or more swabs accepted as clean".to_owned(),
        caution: "Light units belong to one instrument, do not count microbes, and sanitiser can quench them: a pass \
                  is a sign of cleaning, not of safety. Set the baseline anew from time to time."
            .to_owned(),
    })
}

/// The answer for the heads of a machine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeadsView {
    /// Where samples are drawn.
    pub samples: Vec<String>,
    /// `weekly` or `monthly`.
    pub interval: &'static str,
    /// Where the rule comes from.
    pub source: String,
    /// What to keep in mind.
    pub caution: String,
}

/// Which heads to sample and how often, from rounds in order of time, each `true` when all heads passed.
pub fn heads(barrels: u32, rounds_passed: &[bool]) -> HeadsView {
    let name = |head: heads::Head| match head {
        heads::Head::Barrel(number) => format!("barrel {number}"),
        heads::Head::Twist(left) => format!("twist of barrels {left} and {}", left + 1),
    };
    HeadsView {
        samples: heads::samples(barrels).into_iter().map(name).collect(),
        interval: match heads::interval(rounds_passed) {
            heads::Interval::Weekly => "weekly",
            heads::Interval::Monthly => "monthly",
        },
        source: "practice in Pennsylvania: each head and the twist, weekly until three in a row passed"
            .to_owned(),
        caution: "The rule of the place decides where and how often samples are drawn, and by whom."
            .to_owned(),
    }
}

/// The answer for a swab as text for a terminal.
pub fn swab_text(view: &SwabView) -> String {
    let mut out = format!("verdict: {}\nnext: {}\n", view.verdict, view.next);
    let _ = writeln!(out, "pass up to {:.1}, fail from {:.1}", view.pass, view.fail);
    for line in &view.left_out {
        let _ = writeln!(out, "left out: {line}");
    }
    let _ = writeln!(out, "{}\nsource: {}", view.caution, view.source);
    out
}

/// The answer for the heads of a machine as text for a terminal.
pub fn heads_text(view: &HeadsView) -> String {
    let mut out = format!("sample {}: {}\n", view.interval, view.samples.join(", "));
    let _ = writeln!(out, "{}\nsource: {}", view.caution, view.source);
    out
}
