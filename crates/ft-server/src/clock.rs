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

/// Seconds since midnight.
pub fn second_of_day(at_ms: i64) -> u32 {
    let at = local(at_ms);
    u32::from(at.hour().unsigned_abs()) * 3600
        + u32::from(at.minute().unsigned_abs()) * 60
        + u32::from(at.second().unsigned_abs())
}
