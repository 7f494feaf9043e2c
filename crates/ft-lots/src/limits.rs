//! What dates are judged by, and where the kitchen is.

use std::collections::BTreeSet;

use ft_rules::{Amount, Circumstances, Stack, subject_named};
use ft_units::TimeUnit;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// For how many days food is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkDays {
    /// Days, the first of which is the day of preparation or opening.
    pub days: u32,
    /// Whether days wholly in the freezer are not counted.
    pub freezing_stops: bool,
    /// Whose rule: set and paragraph.
    pub decides: String,
}

/// For how long product that was drawn off is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct RerunHours {
    /// Hours from the first of it.
    pub hours: f64,
    /// Whose rule: set and paragraph.
    pub decides: String,
}

/// Everything that dates are judged by.
#[derive(Debug, Clone)]
pub struct Limits {
    /// For how many days food is kept; `None` where no text in force says so. That is no permission.
    pub mark: Option<MarkDays>,
    /// For how long rerun is kept; `None` where no text in force says so.
    pub rerun: Option<RerunHours>,
    /// Whose rule forbids rerun, if any.
    pub rerun_forbidden: Option<String>,
    /// Places that are freezers, by name.
    pub freezers: BTreeSet<String>,
    /// Where the kitchen is.
    pub zone: TimeZone,
    /// The hour at which a night ends and the next day begins, 0 to 23: what is served at 1 belongs to the evening.
    pub day_turns_h: i8,
}

impl Limits {
    /// The limits of a stack of rule sets. A part of a day is not a day.
    pub fn of(stack: &Stack<'_>, zone: TimeZone) -> Self {
        let unknown = Circumstances::unknown();
        let time = |name: &str| {
            let subject = subject_named(name).expect("the subject is one of the list");
            let answer = stack.ask(subject, None, &unknown);
            let finding = answer.winner()?;
            let Some(Amount::Time(limit)) = finding.limit() else { return None };
            Some((limit, format!("{} {}", finding.set.name, finding.rule.reference)))
        };
        let mark = time("date-mark").map(|(limit, decides)| MarkDays {
            days: limit.in_unit(TimeUnit::Day).floor() as u32,
            freezing_stops: stack.all_permit(
                "skip-frozen-days",
                subject_named("date-mark").expect("the subject is one of the list"),
                &unknown,
            ),
            decides,
        });
        let rerun = time("rerun-age")
            .map(|(limit, decides)| RerunHours { hours: limit.in_unit(TimeUnit::Hour), decides });
        Self {
            mark,
            rerun,
            rerun_forbidden: forbids_rerun(stack),
            freezers: BTreeSet::new(),
            zone,
            day_turns_h: 5,
        }
    }

    /// The calendar day of a moment where the kitchen is.
    pub fn day(&self, at_ms: i64) -> Date {
        let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        self.zone.to_datetime(at).date()
    }

    /// The first moment after a day where the kitchen is, milliseconds since 1970; `None` where there is none.
    pub fn end_of(&self, day: Date) -> Option<i64> {
        let next = day.tomorrow().ok()?.to_datetime(jiff::civil::Time::midnight());
        Some(self.zone.to_ambiguous_timestamp(next).compatible().ok()?.as_millisecond())
    }

    /// The night that a moment belongs to: the day on which its evening began.
    pub fn night(&self, at_ms: i64) -> Date {
        self.day(at_ms.saturating_sub(i64::from(self.day_turns_h) * 3_600_000))
    }
}

fn forbids_rerun(stack: &Stack<'_>) -> Option<String> {
    let answer = stack.ask_practice("rerun", true, &Circumstances::unknown());
    let forbids = answer.findings.iter().find(|finding| finding.verdict == ft_rules::Verdict::Fail)?;
    Some(format!("{} {}", forbids.set.name, forbids.rule.reference))
}
