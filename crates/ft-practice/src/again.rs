//! When to practise again, and what to repeat: the memory of each step, by FSRS.
//!
//! A session goes through every step of its procedure, so it reviews every one: a step that was tried at a wrong time was
//! forgotten, all others were known. The next session is due when the first step has fallen to [`RETENTION`].
//! FSRS (Free Spaced Repetition Scheduler, version 5, its published weights) is the `rs-fsrs` crate's; nothing is fitted
//! to anybody here: a kitchen has too few sessions for that, and nobody is to be measured by their memory.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use ft_record::Practice;
use rs_fsrs::{Card, FSRS, Parameters, Rating};

/// The chance with which a step is still to be known when it is practised again. Source: the scheduler's own default.
pub const RETENTION: f64 = 0.9;
/// The longest until a next session, days. Source: none, our choice: well within the 180 days after which a skill lapses.
pub const LONGEST_DAYS: i32 = 120;
/// So many steps are named to be repeated. Source: none, our choice.
const NAMED: usize = 5;

/// The next session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// When it is due, milliseconds since 1970.
    pub due_ms: i64,
    /// The steps that are remembered worst, the worst first: those that were ever missed and come due with it.
    pub repeat: Vec<String>,
}

/// The next session after these, which are of one person and one procedure, sorted by time, each with the milliseconds
/// since 1970 at which it ended. `None` where there was none. One that was not passed is due again at once.
///
/// Cost: sessions times steps that were ever missed.
pub fn again(sessions: &[(i64, Practice)]) -> Option<Again> {
    let (last_ms, last) = sessions.last()?;
    let missed: BTreeSet<&String> = sessions.iter().flat_map(|(_, session)| session.slips.keys()).collect();
    // Steps that nobody ever missed share one history.
    let rest = remembered(sessions, |_| false)?;
    let steps: BTreeMap<&String, Card> = missed
        .into_iter()
        .filter_map(|step| Some((step, remembered(sessions, |session| session.slips.contains_key(step))?)))
        .collect();
    let due = steps.values().chain([&rest]).map(|card| card.due).min()?;
    let due_ms = if last.passed { due.timestamp_millis() } else { *last_ms };
    let mut repeat: Vec<(&String, &Card)> =
        steps.iter().filter(|(_, card)| card.due < rest.due).map(|(step, card)| (*step, card)).collect();
    repeat.sort_by(|(one, a), (other, b)| a.stability.total_cmp(&b.stability).then_with(|| one.cmp(other)));
    Some(Again { due_ms, repeat: repeat.into_iter().take(NAMED).map(|(step, _)| step.clone()).collect() })
}

/// The memory of a step after every session; `None` where a time is none.
fn remembered(sessions: &[(i64, Practice)], is_missed: impl Fn(&Practice) -> bool) -> Option<Card> {
    let scheduler = FSRS::new(Parameters {
        request_retention: RETENTION,
        maximum_interval: LONGEST_DAYS,
        enable_short_term: false,
        enable_fuzz: false,
        ..Parameters::default()
    });
    // Not `Card::new`, which reads the clock.
    let mut card = Card::default();
    for (at_ms, session) in sessions {
        let at: DateTime<Utc> = DateTime::from_timestamp_millis(*at_ms)?;
        let rating = if is_missed(session) { Rating::Again } else { Rating::Good };
        card = scheduler.next(card, at, rating).card;
    }
    Some(card)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY_MS: i64 = 86_400_000;

    fn session(day: i64, passed: bool, slips: &[(&str, u32)]) -> (i64, Practice) {
        let slips = slips.iter().map(|(step, count)| ((*step).to_owned(), *count)).collect();
        let practice = Practice { who: "Teo".into(), procedure: "closing".into(), moves: 40, slips, passed };
        (day * DAY_MS, practice)
    }

    fn days(sessions: &[(i64, Practice)]) -> i64 {
        again(sessions).expect("there was a session").due_ms / DAY_MS
    }

    /// Worked out by hand from the published formulas of FSRS-5 and its default weights, at a retention of 0.9, where the
    /// interval is the stability in days. Known at first: w2 = 3.1262, so 3 days, and at least one more than the 1 of a
    /// step that was hard. Three days later R = (1 + 19/81 · 3/3.1262)^-0.5 = 0.9035, D = w4 - e^(2 w5) + 1 = 5.3144,
    /// and S' = S (e^1.616 (11 - D) S^-0.1544 (e^(1.0824 (1 - R)) - 1) + 1) = 12.5, so 13 days.
    #[test]
    fn intervals_are_those_of_the_published_scheduler() {
        assert_eq!(again(&[]), None);
        assert_eq!(days(&[session(10, true, &[])]), 13);
        let known = [session(10, true, &[]), session(13, true, &[])];
        let found = days(&known) - 13;
        let (s, d) = (3.126_2_f64, 7.210_2 - (2.0 * 0.531_6_f64).exp() + 1.0);
        let r = (1.0 + 19.0 / 81.0 * 3.0 / s).powf(-0.5);
        let next =
            s * (1.616_f64.exp() * (11.0 - d) * s.powf(-0.154_4) * ((1.082_4 * (1.0 - r)).exp() - 1.0) + 1.0);
        assert!((found as f64 - next).abs() <= 1.0, "{found} days, by hand {next:.1}");
    }

    #[test]
    fn a_step_that_was_missed_comes_back_sooner_and_is_named() {
        let clean = [session(10, true, &[])];
        let slipped = [session(10, true, &[("Blade off", 1)])];
        assert!(days(&slipped) < days(&clean));
        assert_eq!(again(&slipped).expect("there was one").repeat, ["Blade off"]);
        assert_eq!(again(&clean).expect("there was one").repeat, Vec::<String>::new());
        // Missed twice, it is remembered worse than what was missed once long ago.
        let mixed = [
            session(1, true, &[("Door", 1)]),
            session(2, true, &[("Blade off", 1)]),
            session(3, true, &[("Blade off", 2)]),
        ];
        assert_eq!(again(&mixed).expect("there was one").repeat, ["Blade off", "Door"]);
    }

    #[test]
    fn what_is_not_passed_is_due_at_once_and_nothing_waits_too_long() {
        assert_eq!(days(&[session(10, true, &[]), session(40, false, &[("Door", 5)])]), 40);
        let mut long = vec![session(0, true, &[])];
        for _ in 0..12 {
            let next = days(&long);
            long.push(session(next, true, &[]));
        }
        let gap = days(&long) - long.last().expect("some").0 / DAY_MS;
        // The scheduler keeps the answers' order by a day, so that its bound may be passed by a day.
        assert!((100..=i64::from(LONGEST_DAYS) + 2).contains(&gap), "{gap} days");
    }
}
