//! What `fulltray wear` shows: life, age to change, due list and order list of each kind of part.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use ft_chart::life;
use jiff::civil::Date;
use serde::Serialize;

use crate::due::due;
use crate::kaplan_meier::kaplan_meier;
use crate::record::{Kind, Record, by_kind};
use crate::replacement::{Advice, Costs, Reason, advise};
use crate::spares::{fill_rate, order, rate_of_use, service_level, stock_for};
use crate::weibull::{Fit, Weibull, fit};
use crate::{End, Lives, lognormal, weibayes};

/// What is asked for one kind of part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Costs of a planned change and of a failure; without them no age is computed.
    pub costs: Option<Costs>,
    /// The maker's longest interval in days: a cap that nothing lifts.
    pub maker_longest_days: Option<f64>,
    /// The shape to assume while nothing has failed yet, from earlier lives of the same kind.
    pub assumed_shape: Option<f64>,
    /// Days from order to delivery.
    pub lead_days: f64,
    /// Probability with which all wishes over the lead time are to be met, such as 0.95.
    pub service: f64,
    /// Spares on the shelf and on order.
    pub have: u64,
    /// How far ahead the chance of a failure is looked at, in days.
    pub ahead_days: f64,
}

/// Questions for a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The date of the answer.
    pub today: Date,
    /// For kinds of part without settings of their own.
    pub default: Settings,
    /// Settings by kind of part.
    pub parts: BTreeMap<String, Settings>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WearView {
    /// Date of the answer.
    pub today: String,
    /// Rows of the table.
    pub rows: usize,
    /// What was left out, and why.
    pub left_out: Vec<String>,
    /// One for each kind of part, in the order of names.
    pub parts: Vec<PartView>,
    /// What to keep in mind.
    pub caution: String,
}

/// One kind of part; ages in days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartView {
    /// The kind of part.
    pub part: String,
    /// Lives seen, of which failed.
    pub seen: u32,
    /// Of these, failed.
    pub failed: u32,
    /// Kaplan-Meier: age, share that survives, lower and upper bound at 95 %.
    pub survival: Vec<[f64; 4]>,
    /// Ages of parts that had not failed when last seen.
    pub unfailed: Vec<f64>,
    /// The fitted law, if there is one.
    pub weibull: Option<WeibullView>,
    /// The 90 % lower bound of the scale under an assumed shape, when nothing failed.
    pub assumed: Option<AssumedView>,
    /// Age at which to change, never above the maker's longest interval.
    pub change_at_days: Option<f64>,
    /// Why that age, or why none.
    pub why: String,
    /// How far ahead the chance of a failure is looked at, in days.
    pub ahead_days: f64,
    /// Parts that are in now, the most urgent first.
    pub due: Vec<DueView>,
    /// Spares, when use can be told.
    pub spares: Option<SparesView>,
}

/// A fitted Weibull law.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeibullView {
    /// Shape: estimate, lower and upper bound (likelihood ratio, 95 %).
    pub shape: [f64; 3],
    /// Scale in days: estimate, lower and upper bound (likelihood ratio, 95 %).
    pub scale_days: [f64; 3],
    /// The age by which one in ten has failed, in days: estimate, lower and upper bound.
    pub tenth_days: [f64; 3],
    /// Akaike's criterion of the Weibull law.
    pub aic: f64,
    /// Akaike's criterion of a log-normal law; smaller by 2 or more says that it fits better.
    pub lognormal_aic: Option<f64>,
    /// Age, lower and upper bound of the share that survives, for the picture.
    pub band: Vec<[f64; 3]>,
}

/// A lower bound under an assumed shape.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AssumedView {
    /// The shape that is assumed.
    pub shape: f64,
    /// Lower bound of the scale at 90 %, in days.
    pub scale_days_low: f64,
}

/// One fitted part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueView {
    /// The machine and place.
    pub place: String,
    /// Day on which it was fitted.
    pub since: String,
    /// Days in service.
    pub age_days: i64,
    /// Last day on which it may still be in.
    pub due: Option<String>,
    /// Days left; below 0 when overdue.
    pub days_left: Option<i64>,
    /// Chance of a failure in the days ahead that were asked for.
    pub failure_ahead: Option<f64>,
}

/// Spares to hold and to order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SparesView {
    /// Parts used in a year over all places.
    pub used_per_year: f64,
    /// Of these, failures.
    pub failures_per_year: f64,
    /// Expected use over the lead time.
    pub over_lead_time: f64,
    /// Stock to hold.
    pub hold: u64,
    /// Probability that all wishes over the lead time are met with it.
    pub service: f64,
    /// Share of wishes met at once with it.
    pub fill_rate: f64,
    /// To order now.
    pub order: u64,
}

const CAUTION: &str = "A life curve speaks of parts like those in the record, cleaned and run as they were. \
    The maker's longest interval and what an inspection finds come first: this may shorten an interval, never \
    lengthen it, and a worn or damaged part is changed whatever its age.";

/// Answers a request from a record.
pub fn wear(record: &Record, request: &Request) -> WearView {
    let kinds = by_kind(&record.replacements, request.today);
    let parts = kinds
        .iter()
        .map(|(name, kind)| {
            part(name, kind, request.parts.get(name).unwrap_or(&request.default), request.today)
        })
        .collect();
    let left_out = record
        .problems
        .iter()
        .map(|problem| match &problem.remedy {
            Some(remedy) => format!("{}: {}; {remedy}", problem.code, problem.message),
            None => format!("{}: {}", problem.code, problem.message),
        })
        .collect();
    WearView {
        today: request.today.to_string(),
        rows: record.rows,
        left_out,
        parts,
        caution: CAUTION.to_owned(),
    }
}

fn part(name: &str, kind: &Kind, settings: &Settings, today: Date) -> PartView {
    let lives = Lives::new(kind.lives.clone()).ok();
    let fitted = lives.as_ref().map(fit);
    let law = fitted.as_ref().and_then(|fit| fit.as_ref().ok());
    let advice = law.and_then(|fit| Some(advise(fit, settings.costs?, settings.maker_longest_days)));
    let assumed = lives.as_ref().filter(|lives| lives.failures() == 0).and_then(|lives| {
        let shape = settings.assumed_shape.filter(|shape| *shape > 0.0)?;
        Some(weibayes::lower_bound(lives, shape, 0.9))
    });
    let change_at = advice.as_ref().map_or(settings.maker_longest_days, |advice| advice.change_at);
    let why = match (&advice, &fitted) {
        (Some(advice), _) => reason(advice),
        (None, Some(Ok(_))) => {
            "No age is computed without the costs of a planned change and of a failure.".to_owned()
        }
        (None, Some(Err(why))) => format!("No age is computed from the record: {why}."),
        (None, None) => "Nothing of this kind has been in service for a day yet.".to_owned(),
    };
    let why = with_cap(why, advice.is_none(), settings.maker_longest_days);
    let law_for_use = law.map(|fit| fit.law).or(assumed);
    PartView {
        part: name.to_owned(),
        seen: lives.as_ref().map_or(0, Lives::parts),
        failed: lives.as_ref().map_or(0, Lives::failures),
        survival: lives.as_ref().map(survival).unwrap_or_default(),
        unfailed: kind.lives.iter().filter(|life| life.end == End::Unfailed).map(|life| life.age).collect(),
        weibull: law.map(weibull_view),
        assumed: assumed.map(|law| AssumedView { shape: law.shape, scale_days_low: law.scale }),
        change_at_days: change_at,
        why,
        ahead_days: settings.ahead_days,
        due: due_views(kind, today, change_at, law_for_use, settings.ahead_days),
        spares: law_for_use.map(|law| spares(name, kind, law, change_at, settings)),
    }
}

fn with_cap(why: String, no_advice: bool, longest: Option<f64>) -> String {
    match longest {
        Some(days) if no_advice => format!("{why} The maker's longest interval of {days:.0} days holds."),
        _ => why,
    }
}

fn survival(lives: &Lives) -> Vec<[f64; 4]> {
    let step = |step: &crate::kaplan_meier::Step| {
        let (low, high) = step.bounds(0.95);
        [step.age, step.survival, low, high]
    };
    kaplan_meier(lives).iter().map(step).collect()
}

fn weibull_view(fit: &Fit) -> WeibullView {
    let three = |estimate: f64, (low, high): (f64, f64)| [estimate, low, high];
    let last = fit.lives().greatest_age();
    let band = (1..=16).map(|step| {
        let age = last * f64::from(step) / 16.0;
        let (low, high) = fit.survival_bounds(age, 0.95);
        [age, low, high]
    });
    WeibullView {
        shape: three(fit.law.shape, fit.shape_bounds(0.95)),
        scale_days: three(fit.law.scale, fit.scale_bounds(0.95)),
        tenth_days: three(fit.law.quantile(0.1), fit.quantile_bounds(0.1, 0.95)),
        aic: fit.aic(),
        lognormal_aic: lognormal::fit(fit.lives()).ok().map(|fit| fit.aic()),
        band: std::iter::once([0.0, 1.0, 1.0]).chain(band).collect(),
    }
}

fn reason(advice: &Advice) -> String {
    match &advice.reason {
        Reason::LeastCost { optimum, range } => format!(
            "Least cost at {:.0} days ({:.0} to {:.0} over what the shape may be): {:.4} a day, against {:.4} a day \
             when left until it fails.",
            optimum.age, range.0, range.1, optimum.cost_rate, optimum.run_to_failure_rate
        ),
        Reason::MakerComesFirst { optimum } => format!(
            "The maker's longest interval comes first; cost alone would be least at {:.0} days, which is later.",
            optimum.age
        ),
        Reason::NotShownToWear { shape } => format!(
            "The record does not show wear: the shape may lie between {:.2} and {:.2}, which holds 1, so no age is \
             recommended from it.",
            shape.0, shape.1
        ),
        Reason::FailureIsCheap => {
            "A failure costs no more than a planned change, so that cost names no age.".to_owned()
        }
        Reason::BeyondReach => "The age of least cost is beyond all ages that were seen.".to_owned(),
    }
}

fn due_views(
    kind: &Kind,
    today: Date,
    change_at: Option<f64>,
    law: Option<Weibull>,
    ahead: f64,
) -> Vec<DueView> {
    due(&kind.fitted, today, change_at, law, ahead)
        .into_iter()
        .map(|due| DueView {
            place: due.fitted.place,
            since: due.fitted.since.to_string(),
            age_days: due.age_days,
            due: due.date.map(|date| date.to_string()),
            days_left: due.days_left,
            failure_ahead: due.failure_ahead,
        })
        .collect()
}

fn spares(name: &str, kind: &Kind, law: Weibull, change_at: Option<f64>, settings: &Settings) -> SparesView {
    let rate = rate_of_use(law, kind.fitted.len() as u32, change_at);
    let mean = rate.parts * settings.lead_days.max(0.0);
    let hold = stock_for(mean, settings.service);
    SparesView {
        used_per_year: rate.parts * 365.25,
        failures_per_year: rate.failures * 365.25,
        over_lead_time: mean,
        hold,
        service: service_level(hold, mean),
        fill_rate: fill_rate(hold, mean),
        order: order(name, hold, settings.have).order,
    }
}

/// The life curve of one kind of part as SVG.
pub fn picture(part: &PartView) -> String {
    let fitted = part.weibull.as_ref().map(|fit| {
        let law = Weibull { shape: fit.shape[0], scale: fit.scale_days[0] };
        let last = fit.band.last().map_or(law.scale, |point| point[0]);
        (0..=60).map(|step| last * f64::from(step) / 60.0).map(|age| (age, law.survival(age))).collect()
    });
    life::life(&life::Life {
        title: part.part.clone(),
        unit: "days".to_owned(),
        steps: part.survival.iter().map(|step| (step[0], step[1])).collect(),
        bounds: part
            .weibull
            .iter()
            .flat_map(|fit| &fit.band)
            .map(|point| (point[0], point[1], point[2]))
            .collect(),
        fitted: fitted.unwrap_or_default(),
        censored: part.unfailed.clone(),
        change_at: part.change_at_days.map(|age| (age, "change".to_owned())),
    })
}

/// The answer as text for a terminal.
pub fn text(view: &WearView) -> String {
    let mut out = String::new();
    for part in &view.parts {
        let _ = writeln!(out, "{}: {} seen, {} failed", part.part, part.seen, part.failed);
        if let Some(fit) = &part.weibull {
            let [shape, shape_low, shape_high] = fit.shape;
            let [scale, scale_low, scale_high] = fit.scale_days;
            let [tenth, tenth_low, tenth_high] = fit.tenth_days;
            let _ = writeln!(
                out,
                "  shape {shape:.2} ({shape_low:.2} to {shape_high:.2}), scale {scale:.0} days ({scale_low:.0} to {scale_high:.0})"
            );
            let _ = writeln!(
                out,
                "  one in ten has failed by {tenth:.0} days ({tenth_low:.0} to {tenth_high:.0})"
            );
        }
        if let Some(assumed) = &part.assumed {
            let _ = writeln!(
                out,
                "  nothing failed; if the shape is {}, the scale is at least {:.0} days (90 %)",
                assumed.shape, assumed.scale_days_low
            );
        }
        let at = part.change_at_days.map_or_else(|| "no age".to_owned(), |days| format!("{days:.0} days"));
        let _ = writeln!(out, "  change at: {at}. {}", part.why);
        for due in &part.due {
            let when = match (&due.due, due.days_left) {
                (Some(date), Some(left)) if left < 0 => format!("OVERDUE by {} (due {date})", days(-left)),
                (Some(date), Some(left)) => format!("due {date}, in {}", days(left)),
                _ => "no due date".to_owned(),
            };
            let odds = due.failure_ahead.map_or_else(String::new, |p| {
                format!("; {:.0} % to fail within {:.0} days", p * 100.0, part.ahead_days)
            });
            let _ = writeln!(
                out,
                "  {}: in since {} ({} days), {when}{odds}",
                due.place, due.since, due.age_days
            );
        }
        if let Some(spares) = &part.spares {
            let _ = writeln!(
                out,
                "  spares: {:.2} used over the lead time; hold {} (all wishes met {:.1} %), order {}",
                spares.over_lead_time,
                spares.hold,
                spares.service * 100.0,
                spares.order
            );
        }
    }
    if !view.left_out.is_empty() {
        let _ = writeln!(out, "Left out, {} of {} rows or the table:", view.left_out.len(), view.rows);
        for line in &view.left_out {
            let _ = writeln!(out, "  {line}");
        }
    }
    let _ = writeln!(out, "{}", view.caution);
    out
}

fn days(count: i64) -> String {
    if count == 1 { "1 day".to_owned() } else { format!("{count} days") }
}
