//! Messages and rows to readings, or to a code that says why not.
#![allow(clippy::unwrap_used)]
#![allow(clippy::float_cmp)] // Values go through unchanged, or are exact.

use ft_probe::{Arrival, Probe, Rows, message, read};

const NOW: i64 = 1_780_350_000_000; // 2026-06-01T21:40:00Z

fn probe(source: &str) -> Probe {
    let text = format!(
        "probes {{ broker \"b\"; folder \"f\"; probe \"p\" {{ unit \"°C\"; every \"10 s\"; possible \"-40..60 °C\"; {source}; }}; }}"
    );
    let found = read(&text);
    assert_eq!(found.problems, [], "{text}");
    found.mapping.probes.into_iter().next().unwrap()
}

#[track_caller]
fn said(arrival: &Arrival) -> Result<f64, &'static str> {
    arrival.as_ref().map(|reading| reading.value).map_err(|refusal| refusal.code)
}

#[test]
fn a_plain_number() {
    let probe = probe("topic \"a\"");
    let take = |payload: &[u8]| said(&message::reading(&probe, payload, false, NOW));
    assert_eq!(take(b"3.25"), Ok(3.25));
    assert_eq!(take(b" -3e0\n"), Ok(-3.0));
    assert_eq!(take(b"41 \xC2\xB0F"), Ok(5.0), "its own unit goes before the mapping's");
    assert_eq!(take("4.5°C".as_bytes()), Ok(4.5));
    for nothing in ["", "nan", "inf", "null", "warm", "--", "1 2", "3,5", "1e999"] {
        assert!(
            matches!(take(nothing.as_bytes()), Err("P0102" | "P0105")),
            "{nothing}: {:?}",
            take(nothing.as_bytes())
        );
    }
    assert_eq!(take(b"150 mg/L"), Err("P0105"));
    assert_eq!(take(b"-127"), Err("P0106"), "a broken wire");
    assert_eq!(take(b"85"), Err("P0106"), "a value at power-on, or °F");
    assert_eq!(take(b"\xFF\xFE"), Err("P0101"));
    assert_eq!(take(&[b'1'; 5000]), Err("P0101"));
    let fahrenheit = message::reading(&probe, b"85", false, NOW).unwrap_err();
    assert!(fahrenheit.remedy.contains("if the sender means °F, it is 29.44 °C"), "{fahrenheit}");
    assert!(message::reading(&probe, b"41 F", false, NOW).unwrap().is_converted);
    assert_eq!(said(&message::reading(&probe, b"3", true, NOW)), Err("P0111"), "kept by the broker");
}

#[test]
fn json_and_pointers_into_it() {
    let probe = probe("topic \"a\" value=\"/left/t\" unit=\"/u\" time=\"/at\"");
    let take = |text: &str| message::reading(&probe, text.as_bytes(), true, NOW);
    let at = |text: &str| take(text).map(|reading| reading.at_ms);
    assert_eq!(
        at(r#"{"left":{"t":3.5},"at":"2026-06-01T21:30:00+00:00"}"#),
        Ok(1_780_349_400_000),
        "kept, with its time"
    );
    assert_eq!(at(r#"{"left":{"t":3.5},"at":1780349400}"#), Ok(1_780_349_400_000), "seconds");
    assert_eq!(at(r#"{"left":{"t":3.5},"at":1780349400123}"#), Ok(1_780_349_400_123), "milliseconds");
    assert_eq!(said(&take(r#"{"left":{"t":"41"},"u":"F","at":1780349400}"#)), Ok(5.0));
    assert_eq!(said(&take(r#"{"left":{"t":41},"u":"K","at":1780349400}"#)), Err("P0105"));
    assert_eq!(said(&take(r#"{"left":{"t":null},"at":1780349400}"#)), Err("P0102"));
    assert_eq!(said(&take(r#"{"left":3,"at":1780349400}"#)), Err("P0104"));
    assert_eq!(said(&take(r#"{"left":{"t":3}}"#)), Err("P0104"), "it has no time");
    assert_eq!(said(&take(r#"{"left":{"t":3},"at":"yesterday"}"#)), Err("P0107"));
    assert_eq!(said(&take(r#"{"left":{"t":3},"#)), Err("P0103"));
    assert_eq!(said(&take("3.5")), Err("P0104"));
}

const FILE: &str = "file \"a.csv\" time=\"Time\" value=\"Temp\" unit=\"Unit\" zone=\"Europe/Berlin\"";

fn values(arrivals: &[Arrival]) -> Vec<Result<f64, &'static str>> {
    arrivals.iter().map(said).collect()
}

/// Every cut of a file into two pieces gives the same readings: half a line, half a letter, half a line end wait.
#[test]
fn a_file_that_grows_byte_by_byte() {
    let probe = probe(FILE);
    let text = "\u{feff}Time,Temp,Unit\r\n2026-06-01 21:30:00,3.5,°C\r\n2026-06-01 21:31:00,\"41\",°F\r\n2026-06-01 21:32:00,4";
    let bytes = text.as_bytes();
    for cut in 0..bytes.len() {
        let mut rows = Rows::of(&probe).unwrap();
        let mut all = rows.take(&probe, &bytes[..cut]);
        all.extend(rows.take(&probe, &bytes[cut..]));
        assert_eq!(values(&all), [Ok(3.5), Ok(5.0)], "cut at {cut}");
        assert!(rows.is_half(), "the last line has not ended");
        assert_eq!(values(&rows.take(&probe, b".25,\n")), [Ok(4.25)]);
    }
}

#[test]
fn rows_that_are_wrong_are_told_and_the_next_is_read() {
    let probe = probe(FILE);
    let mut rows = Rows::of(&probe).unwrap();
    let text = "Time,Temp,Unit\nyesterday,3,°C\n2026-06-01 21:30:00,,°C\n2026-06-01 21:31:00\n\
                2026-06-01 21:32:00,3.5,psi\n2026-06-01 21:33:00,400,°C\n2026-06-01 21:34:00,3.5,\n";
    let expected = [Err("P0107"), Err("P0102"), Err("P0104"), Err("P0105"), Err("P0106"), Ok(3.5)];
    assert_eq!(values(&rows.take(&probe, text.as_bytes())), expected);
    let mut other = Rows::of(&probe).unwrap();
    let all = other.take(&probe, b"When,Temp\n2026-06-01 21:30:00,3\n2026-06-01 21:30:00,3\n");
    assert_eq!(values(&all), [Err("P0112")], "told once; nothing more is read from it");
}

/// The night on which clocks go back (25 October 2026, Berlin): the hour that is shown twice stands once each, and the
/// hour that is left out (29 March 2026) is no time. Source: the time zone database.
#[test]
fn nights_on_which_clocks_change() {
    let probe = probe(FILE);
    let mut rows = Rows::of(&probe).unwrap();
    let text = "Time,Temp,Unit\n2026-10-25 02:20:00,3,°C\n2026-10-25 02:50:00,3,°C\n2026-10-25 02:20:00,3,°C\n2026-10-25 03:00:00,3,°C\n";
    let times: Vec<i64> =
        rows.take(&probe, text.as_bytes()).iter().map(|row| row.as_ref().unwrap().at_ms / 60_000).collect();
    assert_eq!(times.iter().map(|at| at - times[0]).collect::<Vec<_>>(), [0, 30, 60, 100]);
    let mut spring = Rows::of(&probe).unwrap();
    let text = "Time,Temp,Unit\n2026-03-29 02:30:00,3,°C\n";
    assert_eq!(values(&spring.take(&probe, text.as_bytes())), [Err("P0107")]);
}

#[test]
fn semicolons_commas_and_days_first() {
    let probe = probe(
        "file \"a.csv\" date=\"Tag\" time=\"Zeit\" value=\"T\" zone=\"Europe/Berlin\" format=\"%d.%m.%Y %H:%M\" delimiter=\";\" decimal-comma=#true",
    );
    let mut rows = Rows::of(&probe).unwrap();
    let all = rows.take(&probe, b"Tag;Zeit;T\n01.06.2026;23:40;3,5\n");
    assert_eq!(all[0].as_ref().unwrap().at_ms, NOW);
    assert_eq!(values(&all), [Ok(3.5)]);
}
