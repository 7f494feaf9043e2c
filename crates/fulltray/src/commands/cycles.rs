//! Heat-treatment cycles of `fulltray coldchain --cycles`.

use std::fmt::Write as _;

use ft_coldchain::{ColdchainView, Cycle, Reading, find_cycles, judge_cycle};
use ft_rules::{Amount, AnswerView, Circumstances, Stack, subject_named};
use ft_units::{Temperature, Time, TimeUnit};
use serde::Serialize;

use super::rules::{book, quantity, wrong};
use crate::args::hygiene::ColdchainArgs;
use crate::exit::{Answer, Failure};

/// Where a cycle begins to count, and between what it is heated up and cooled down.
pub struct Ends {
    hot: Temperature,
    cold: Temperature,
}

/// A log with its cycles, as shown.
#[derive(Serialize)]
pub struct LogAndCycles {
    /// The log.
    #[serde(flatten)]
    pub log: ColdchainView,
    /// Its cycles, in order of time.
    pub cycles: Vec<CycleView>,
}

/// A cycle, as shown. Times in minutes; nothing where the log does not tell.
#[derive(Serialize)]
pub struct CycleView {
    begins: String,
    hottest: String,
    heat_up_min: Option<f64>,
    hold_min: f64,
    cool_down_min: Option<f64>,
    rules: Vec<AnswerView>,
}

/// The temperatures of the command line, else those of the strictest rules.
pub fn ends(args: &ColdchainArgs) -> Result<Ends, Failure> {
    let book = book(&args.rules)?;
    let stack = book.stack();
    let end = |given: &Option<String>, subject, option: &str| match given {
        Some(text) => quantity(text),
        None => limit(&stack, subject).ok_or_else(|| {
            wrong((
                format!("no set of the stack limits {subject}"),
                format!("name the temperature with `{option}`"),
            ))
        }),
    };
    let hot = end(&args.hot, "heat-cycle-temperature", "--hot")?;
    let cold = end(&args.cold, "hopper-temperature", "--cold")?;
    if hot.cmp_limit(cold).is_le() {
        return Err(wrong((
            format!("{hot} is not above {cold}"),
            "give a `--hot` above `--cold`".to_owned(),
        )));
    }
    Ok(Ends { hot, cold })
}

fn limit(stack: &Stack<'_>, subject: &str) -> Option<Temperature> {
    let machine = Circumstances::unknown().with("machine", "heat-treatment")?;
    match stack.ask(subject_named(subject)?, None, &machine).winner()?.limit()? {
        Amount::Temperature(limit) => Some(limit),
        _ => None,
    }
}

/// Every cycle with what the rules say; none at all is a no.
pub fn judge(
    args: &ColdchainArgs,
    kept: &[Reading],
    ends: &Ends,
    gap_s: f64,
) -> Result<(Vec<CycleView>, Answer), Failure> {
    let book = book(&args.rules)?;
    let stack = book.stack();
    let found = find_cycles(kept, ends.hot, ends.cold, gap_s);
    let mut cycles: Vec<CycleView> = found.iter().map(|cycle| view(args, cycle, ends, &stack)).collect();
    for rule in cycles.iter_mut().flat_map(|cycle| &mut cycle.rules) {
        book.add_caution(rule);
    }
    let any = |word| cycles.iter().flat_map(|cycle| &cycle.rules).any(|rule| rule.verdict == word);
    let answer = if cycles.is_empty() || any("fail") {
        Answer::No
    } else if any("not told") || !any("pass") {
        // Where no text speaks, that is no permission.
        Answer::Unfinished
    } else {
        Answer::Yes
    };
    Ok((cycles, answer))
}

fn view(args: &ColdchainArgs, cycle: &Cycle, ends: &Ends, stack: &Stack<'_>) -> CycleView {
    let mut rules: Vec<AnswerView> = judge_cycle(cycle, stack).iter().map(AnswerView::from).collect();
    if args.mix {
        // It was at least this hot all the time, so the answer is never too good.
        let hold = Time::new(cycle.hold_s / 60.0, TimeUnit::Minute);
        let answer = stack.ask_heat_treatment(ends.hot, hold, &Circumstances::unknown());
        rules.push(AnswerView::from(&answer));
    }
    CycleView {
        begins: cycle.begins.to_string(),
        hottest: cycle.hottest.to_string(),
        heat_up_min: cycle.heat_up_s.map(|seconds| seconds / 60.0),
        hold_min: cycle.hold_s / 60.0,
        cool_down_min: cycle.cool_down_s.map(|seconds| seconds / 60.0),
        rules,
    }
}

impl LogAndCycles {
    /// The log and its cycles as text.
    pub fn text(&self) -> String {
        let mut text = self.log.text();
        if self.cycles.is_empty() {
            text.push_str("No heat-treatment cycle in the log\n");
        }
        let minutes = |told: Option<f64>| told.map_or("not told".to_owned(), |min| format!("{min:.1} min"));
        for cycle in &self.cycles {
            let _ = writeln!(
                text,
                "Cycle {}: up {}, hold {:.1} min, down {}, hottest {}",
                cycle.begins,
                minutes(cycle.heat_up_min),
                cycle.hold_min,
                minutes(cycle.cool_down_min),
                cycle.hottest
            );
            for rule in &cycle.rules {
                text.push_str(&rule.text());
            }
        }
        text
    }
}
