//! Times of day where the server is.

use jiff::Timestamp;
use jiff::tz::TimeZone;

fn local(at_ms: i64) -> jiff::civil::DateTime {
    let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
    TimeZone::system().to_datetime(at)
}

/// As `21:30`.
pub fn clock(at_ms: i64) -> String {
    let at = local(at_ms);
    format!("{:02}:{:02}", at.hour(), at.minute())
}

/// As `2026-11-25`.
pub fn day(at_ms: i64) -> String {
    local(at_ms).date().to_string()
}

/// Today at so many minutes after midnight, milliseconds since 1970; past midnight more than 1440. Where clocks are put
/// forward over it, the moment after the gap.
pub fn today_at(minute: u32, now_ms: i64) -> i64 {
    let midnight = local(now_ms).date().to_datetime(jiff::civil::Time::midnight());
    let at = midnight.checked_add(jiff::Span::new().minutes(i64::from(minute)));
    let zoned = at.and_then(|at| TimeZone::system().to_ambiguous_timestamp(at).compatible());
    zoned.map_or(now_ms, Timestamp::as_millisecond)
}

/// Seconds since midnight.
pub fn second_of_day(at_ms: i64) -> u32 {
    let at = local(at_ms);
    u32::from(at.hour().unsigned_abs()) * 3600
        + u32::from(at.minute().unsigned_abs()) * 60
        + u32::from(at.second().unsigned_abs())
}

/// The day to which a night belongs that began at `at_ms` where nights begin at so many minutes after midnight: what
/// begins after midnight is still the evening's before. Gives that evening's begin, milliseconds since 1970.
pub fn evening_of(minute: u32, at_ms: i64) -> i64 {
    const DAY_MS: i64 = 24 * 3600 * 1000;
    let evenings = [-DAY_MS, 0, DAY_MS].map(|day| today_at(minute, at_ms + day));
    evenings.into_iter().min_by_key(|evening| (evening - at_ms).abs()).unwrap_or(at_ms)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn after_midnight_it_is_still_the_evening_before() {
        // Noon of 2026-06-10 in UTC, some hour of that day or the next where this runs: begin from its own midnight.
        let midnight = today_at(0, 1_781_092_800_000);
        let (half_past_nine, hour) = (21 * 60 + 30, 3600 * 1000);
        let evening = today_at(half_past_nine, midnight);
        for late in [-hour, 0, hour, 3 * hour, 6 * hour] {
            assert_eq!(evening_of(half_past_nine, evening + late), evening, "{late}");
        }
    }
}
