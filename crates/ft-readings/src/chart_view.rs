//! What `fulltray chart` shows: the check of the limit first, then three charts of the same readings.

use std::fmt::Write as _;

use ft_chart::control;
use serde::Serialize;

use crate::cusum::Cusum;
use crate::ewma::Ewma;
use crate::individuals::{Limits, autocorrelation, limits_with_gaps, signals};
use crate::measurement::{self, Verdict};
use crate::table::Column;
use crate::{BadReadings, arl};

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// What is charted, such as "Draw temperature, left barrel".
    pub title: String,
    /// Unit of the readings.
    pub unit: String,
    /// How many of the first rows set the centre and spread; 0 takes all, which flags less.
    pub baseline: usize,
    /// What the process should be at; the mean of the baseline if it is not known.
    pub target: Option<f64>,
    /// Weight of the newest reading in the moving average.
    pub weight: f64,
    /// Limits of the moving average in standard deviations.
    pub width: f64,
    /// Slack and decision interval of the cumulative sum, in standard deviations.
    pub slack: f64,
    /// Decision interval of the cumulative sum, in standard deviations.
    pub decision: f64,
    /// The limits of the rule or label, and whose they are.
    pub limits: Option<(measurement::Limits, String)>,
    /// How far off a reading may be, on both sides, in its unit.
    pub uncertainty: f64,
}

impl Request {
    /// The usual charts: λ 0.2 with 2.962 (a false alarm every 500 readings), k 0.5 with h 5 (every 465).
    pub fn usual(title: &str, unit: &str) -> Self {
        Self {
            title: title.to_owned(),
            unit: unit.to_owned(),
            baseline: 0,
            target: None,
            weight: 0.2,
            width: 2.962,
            slack: 0.5,
            decision: 5.0,
            limits: None,
            uncertainty: 0.0,
        }
    }
}

/// The answer; numbers of readings count rows from 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartView {
    /// What is charted.
    pub title: String,
    /// Unit of the readings.
    pub unit: String,
    /// One for each row; empty for a gap.
    pub readings: Vec<Option<f64>>,
    /// Rows without a reading: unknown, not good.
    pub gaps: usize,
    /// Readings outside the limits of the rule: these come before everything else.
    pub outside: Vec<usize>,
    /// Readings that are too close to a limit to tell.
    pub too_close: Vec<usize>,
    /// Whose limits these are.
    pub whose: Option<String>,
    /// Centre, lower and upper limit of single readings.
    pub single: [f64; 3],
    /// Standard deviation from the moving ranges of the baseline.
    pub sigma: f64,
    /// Upper limit of a moving range.
    pub range_high: f64,
    /// Signals of single readings, with the rule that was broken.
    pub single_signals: Vec<(usize, String)>,
    /// The moving average after each reading.
    pub average: Vec<f64>,
    /// Signals of the moving average.
    pub average_signals: Vec<usize>,
    /// The first signal of the cumulative sum: reading, direction, and the reading after which the shift came.
    pub sum_signal: Option<SumSignal>,
    /// Readings until a false alarm, and until a shift of one standard deviation is seen: single readings against
    /// their limits, moving average, cumulative sum.
    pub run_lengths: [[f64; 2]; 3],
    /// Correlation of neighbours in the baseline.
    pub autocorrelation: f64,
    /// What was left out, and why.
    pub left_out: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
    /// Where the formulas come from.
    pub source: String,
}

/// The first signal of a cumulative sum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SumSignal {
    /// The reading at which it signals.
    pub number: usize,
    /// `up` or `down`.
    pub direction: &'static str,
    /// The last reading before the shift.
    pub shift_after: usize,
}

/// Charts a column of readings.
///
/// # Errors
/// [`BadReadings`] when the baseline does not set limits.
pub fn chart(column: &Column, request: &Request) -> Result<ChartView, BadReadings> {
    let rows = &column.readings;
    let base = if request.baseline == 0 { rows.len() } else { request.baseline.min(rows.len()) };
    let limits = limits_with_gaps(&rows[..base])?;
    // Rows of the known readings, counted from 1, so that signals name rows although gaps are skipped.
    let (numbers, known): (Vec<usize>, Vec<f64>) =
        rows.iter().enumerate().filter_map(|(index, reading)| Some((index + 1, (*reading)?))).unzip();
    let target = request.target.unwrap_or(limits.centre);
    let ewma = Ewma { target, sigma: limits.sigma, weight: request.weight, width: request.width };
    let cusum =
        Cusum { target, slack: request.slack * limits.sigma, decision: request.decision * limits.sigma };
    let averages = ewma.points(&known);
    let row = |number: usize| numbers[number - 1];
    let verdict = |wanted: Verdict| -> Vec<usize> {
        let Some((rule, _)) = request.limits else { return Vec::new() };
        let judge = |x: f64| measurement::judge(x - request.uncertainty, x + request.uncertainty, rule);
        numbers.iter().zip(&known).filter(|(_, x)| judge(**x) == wanted).map(|(number, _)| *number).collect()
    };
    // Of the baseline only: a drift after it makes neighbours go together too, and that is what the chart looks for.
    let base_known: Vec<f64> = rows[..base].iter().flatten().copied().collect();
    let autocorrelation = autocorrelation(&base_known);
    let view = ChartView {
        title: request.title.clone(),
        unit: request.unit.clone(),
        readings: rows.clone(),
        gaps: rows.len() - known.len(),
        outside: verdict(Verdict::Outside),
        too_close: verdict(Verdict::TooCloseToTell),
        whose: request.limits.as_ref().map(|(_, whose)| whose.clone()),
        single: [limits.centre, limits.low, limits.high],
        sigma: limits.sigma,
        range_high: limits.range_high,
        single_signals: signals(&known, limits.centre, limits.sigma)
            .into_iter()
            .map(|(number, rule)| (row(number), rule.words().to_owned()))
            .collect(),
        average: averages.iter().map(|point| point.average).collect(),
        average_signals: (0..known.len()).filter(|i| averages[*i].is_signal()).map(|i| numbers[i]).collect(),
        sum_signal: cusum.first_signal(&known).map(|signal| SumSignal {
            number: row(signal.number),
            direction: if signal.is_upwards { "up" } else { "down" },
            shift_after: if signal.shift_after == 0 { 0 } else { row(signal.shift_after) },
        }),
        run_lengths: run_lengths(request),
        autocorrelation,
        left_out: column.problems.iter().map(said).collect(),
        cautions: cautions(&limits, base, base_known.len(), autocorrelation),
        source: "NIST/SEMATECH e-Handbook 6.3.2.2, 6.3.2.3, 6.3.2.4; run lengths by Page's and Crowder's \
                 integral equations"
            .to_owned(),
    };
    Ok(view)
}

fn said(problem: &ft_diag::Problem) -> String {
    match &problem.remedy {
        Some(remedy) => format!("{}: {}; {remedy}", problem.code, problem.message),
        None => format!("{}: {}", problem.code, problem.message),
    }
}

fn run_lengths(request: &Request) -> [[f64; 2]; 3] {
    let at = |shift: f64| {
        [
            arl::shewhart(3.0, shift),
            arl::ewma(request.weight, request.width, shift),
            arl::cusum(request.slack, request.decision, shift),
        ]
    };
    let (steady, shifted) = (at(0.0), at(1.0));
    [0, 1, 2].map(|chart| [steady[chart], shifted[chart]])
}

fn cautions(limits: &Limits, base: usize, known: usize, autocorrelation: f64) -> Vec<String> {
    let mut cautions = vec![
        "A chart shows drift. It does not replace the limit of the rule or label: a reading outside that limit is \
         a failure whatever the chart says, and a quiet chart is no proof that a reading was within it."
            .to_owned(),
    ];
    if base < 20 {
        cautions.push(format!(
            "The limits rest on {base} rows; with fewer than 20 they are rough (our choice of 20)."
        ));
    }
    let bound = 2.0 / ft_stats::maths::sqrt(known.max(1) as f64);
    if bound < autocorrelation.abs() {
        cautions.push(format!(
            "Neighbouring readings go together ({autocorrelation:.2}, beyond {bound:.2}): the limits cry wolf. \
             Chart one number a night instead, such as the mean after settling."
        ));
    }
    if limits.sigma <= 0.0 {
        cautions.push("The readings do not vary.".to_owned());
    }
    cautions
}

/// The chart of single readings as SVG; gaps break the line.
pub fn picture(view: &ChartView, rule: Option<(f64, String)>) -> String {
    control::control(&control::Control {
        title: view.title.clone(),
        unit: view.unit.clone(),
        values: view.readings.clone(),
        centre: view.single[0],
        limits: vec![(view.single[1], view.single[2]); view.readings.len()],
        signals: view.single_signals.clone(),
        rule,
    })
}

/// The answer as text for a terminal.
pub fn text(view: &ChartView) -> String {
    let mut out = String::new();
    let unit = &view.unit;
    let _ = writeln!(
        out,
        "{}: {} rows, {} of them without a reading",
        view.title,
        view.readings.len(),
        view.gaps
    );
    if let Some(whose) = &view.whose {
        let _ = writeln!(
            out,
            "  limit ({whose}): outside at {}; too close to tell at {}",
            list(&view.outside),
            list(&view.too_close)
        );
    }
    let [centre, low, high] = view.single;
    let _ = writeln!(
        out,
        "  single readings: {centre:.3} {unit}, limits {low:.3} to {high:.3}; a jump above {:.3} signals",
        view.range_high
    );
    let single: Vec<String> = view.single_signals.iter().map(|(row, why)| format!("{row} ({why})")).collect();
    let _ = writeln!(
        out,
        "    signals: {}",
        if single.is_empty() { "none".to_owned() } else { single.join(", ") }
    );
    let _ = writeln!(out, "  moving average: signals at {}", list(&view.average_signals));
    match &view.sum_signal {
        Some(signal) => {
            let _ = writeln!(
                out,
                "  cumulative sum: {} at {}; the shift came after {}",
                signal.direction, signal.number, signal.shift_after
            );
        }
        None => {
            let _ = writeln!(out, "  cumulative sum: no signal");
        }
    }
    let names = ["single readings beyond a limit", "moving average", "cumulative sum"];
    for (name, [steady, shifted]) in names.iter().zip(view.run_lengths) {
        let _ = writeln!(
            out,
            "  {name}: a false alarm every {steady:.0} readings, a shift of one sigma seen after {shifted:.1}"
        );
    }
    out.push_str("  all four rules for single readings together: a false alarm every 92 readings\n");
    for line in view.left_out.iter().chain(&view.cautions) {
        let _ = writeln!(out, "  {line}");
    }
    let _ = writeln!(out, "  source: {}", view.source);
    out
}

fn list(rows: &[usize]) -> String {
    if rows.is_empty() {
        return "none".to_owned();
    }
    rows.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}
