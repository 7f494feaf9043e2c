//! When each fitted part comes due.

use jiff::ToSpan as _;
use jiff::civil::Date;

use crate::weibull::Weibull;

/// A part that is in a machine now.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The kind of part.
    pub part: String,
    /// The machine, and the place in it.
    pub place: String,
    /// The day on which it was fitted.
    pub since: Date,
}

/// When a fitted part is due.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// The part.
    pub fitted: Fitted,
    /// Days in service up to today.
    pub age_days: i64,
    /// The last day on which it may still be in: rounded down to whole days. `None` when no age is recommended.
    pub date: Option<Date>,
    /// Days left until then; below 0 when overdue.
    pub days_left: Option<i64>,
    /// Chance that it fails within `ahead_days` from today, if a law is known.
    pub failure_ahead: Option<f64>,
}

/// Days between two dates.
pub fn days_between(from: Date, to: Date) -> i64 {
    from.until(to).map_or(0, |span| i64::from(span.get_days()))
}

/// Due dates of all fitted parts of one kind, the most urgent first; ties in the order of their places.
pub fn due(
    fitted: &[Fitted],
    today: Date,
    change_at_days: Option<f64>,
    law: Option<Weibull>,
    ahead_days: f64,
) -> Vec<Due> {
    let mut list: Vec<Due> = fitted
        .iter()
        .map(|part| {
            let age_days = days_between(part.since, today);
            let date =
                change_at_days.and_then(|age| part.since.checked_add((age.floor() as i64).days()).ok());
            let days_left = date.map(|date| days_between(today, date));
            let failure_ahead = law.map(|law| law.failure_within(age_days.max(0) as f64, ahead_days));
            Due { fitted: part.clone(), age_days, date, days_left, failure_ahead }
        })
        .collect();
    list.sort_by(|a, b| {
        let urgent = |due: &Due| due.days_left.unwrap_or(i64::MAX);
        urgent(a).cmp(&urgent(b)).then(b.age_days.cmp(&a.age_days)).then(a.fitted.place.cmp(&b.fitted.place))
    });
    list
}
