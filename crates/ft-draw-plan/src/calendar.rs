//! The plan as iCalendar (RFC 5545), one event for each attended phase and person, in floating local time.

use ft_night::{Plan, Problem};

use crate::Clock;
use crate::lanes::lanes;

/// The plan's steps as calendar events; `person` limits them to one of the crew.
///
/// `date` is the day on which the plan begins: year, month, day. `stamp` is the UTC instant of writing as RFC 5545 asks
/// for it (`20260131T220000Z`). Lines end with CR LF and are folded at 75 octets.
pub fn calendar(
    problem: &Problem,
    plan: &Plan,
    clock: Clock,
    date: (u32, u32, u32),
    stamp: &str,
    language: &str,
    person: Option<usize>,
) -> String {
    let mut out = Lines(String::new());
    out.put("BEGIN:VCALENDAR");
    out.put("VERSION:2.0");
    out.put("PRODID:-//Fulltray//plan//EN");
    for (index, lane) in lanes(problem, plan, language).iter().take(problem.people.len()).enumerate() {
        if person.is_some_and(|person| person != index) {
            continue;
        }
        for (number, bar) in lane.bars.iter().enumerate() {
            out.put("BEGIN:VEVENT");
            out.put(&format!("UID:{}-{index}-{number}@fulltray.invalid", local(date, clock, bar.start_s)));
            out.put(&format!("DTSTAMP:{stamp}"));
            out.put(&format!("DTSTART:{}", local(date, clock, bar.start_s)));
            out.put(&format!("DTEND:{}", local(date, clock, bar.end_s)));
            out.put(&format!("SUMMARY:{}", escape(&format!("{}: {}", lane.name, bar.label))));
            out.put("END:VEVENT");
        }
    }
    out.put("END:VCALENDAR");
    out.0
}

struct Lines(String);

impl Lines {
    /// One content line, folded: a continuation begins with a space, and no line has more than 75 octets.
    fn put(&mut self, line: &str) {
        let mut octets = 0;
        for letter in line.chars() {
            if octets + letter.len_utf8() > 75 {
                self.0.push_str("\r\n ");
                octets = 1;
            }
            octets += letter.len_utf8();
            self.0.push(letter);
        }
        self.0.push_str("\r\n");
    }
}

/// RFC 5545, 3.3.11: backslash, semicolon, comma and line breaks are escaped.
fn escape(text: &str) -> String {
    text.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,").replace(['\n', '\r'], "\\n")
}

fn local(date: (u32, u32, u32), clock: Clock, at_s: u32) -> String {
    let second = u64::from(clock.begins_at_s) + u64::from(at_s);
    let (mut date, mut days) = (date, second / 86_400);
    while days > 0 {
        date = day_after(date);
        days -= 1;
    }
    let (hour, minute, rest) = (second / 3600 % 24, second / 60 % 60, second % 60);
    format!("{:04}{:02}{:02}T{hour:02}{minute:02}{rest:02}", date.0, date.1, date.2)
}

fn day_after((year, month, day): (u32, u32, u32)) -> (u32, u32, u32) {
    let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    match (day < days, month < 12) {
        (true, _) => (year, month, day + 1),
        (false, true) => (year, month + 1, 1),
        (false, false) => (year + 1, 1, 1),
    }
}
