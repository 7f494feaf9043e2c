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
