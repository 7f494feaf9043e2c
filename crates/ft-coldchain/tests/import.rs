//! Logs as they come: wrong rows, mixed units, clock changes. Nothing is dropped in silence.

use ft_coldchain::{History, LISTED, Mapping, Reason, import, import_all};
use ft_units::{Temperature, TemperatureUnit};

fn mapping() -> Mapping {
    Mapping {
        time: "time".into(),
        date: None,
        temperature: "temp".into(),
        unit: Some("°C".into()),
        unit_column: None,
        zone: "Europe/Berlin".into(),
        format: None,
        delimiter: None,
        decimal_comma: false,
    }
}

/// Reads a log and returns its readings as `UTC time temperature`, and what was left out as `line reason`.
fn read(text: &str, mapping: &Mapping) -> (Vec<String>, Vec<String>) {
    let (readings, import) = import_all(text.as_bytes(), mapping).expect("the columns are there");
    let left: u64 = import.left_out.values().sum();
    assert_eq!(import.rows, import.used + left, "every row is accounted for");
    assert_eq!(readings.len() as u64, import.used);
    let listed = import.listed.iter().map(|row| format!("{} {:?}", row.line, row.reason)).collect();
    (readings.iter().map(|r| format!("{} {}", r.at, r.temperature)).collect(), listed)
}

#[test]
fn every_wrong_row_is_listed_with_its_reason() {
    let text = "time,temp\n\
        2026-06-01T10:00,4.0\n\
        2026-06-01T10:05,4.1\n\
        2026-06-01T10:03,4.2\n\
        2026-06-01T10:05,4.1\n\
        2026-06-01T10:10,4.3\n\
        2026-06-01T10:10,9.9\n\
        yesterday,4.0\n\
        2026-06-01T10:15,\n\
        2026-06-01T10:20,cold\n\
        2026-06-01T10:25,999\n\
        2026-06-01T10:30\n\
        2026-06-01T10:35,4.4\n";
    let (readings, listed) = read(text, &mapping());
    assert_eq!(
        readings,
        ["2026-06-01T08:00:00Z 4 °C", "2026-06-01T08:05:00Z 4.1 °C", "2026-06-01T08:35:00Z 4.4 °C"]
    );
    assert_eq!(
        listed,
        [
            "4 Backwards",
            "5 Repeated",
            "7 Contradicted",
            "8 BadTime",
            "9 Empty",
            "10 BadTemperature",
            "11 Impossible",
            "12 ShortRow",
            "6 Contradicted",
        ]
    );
}

#[test]
fn mixed_units_are_each_read_in_their_own() {
    let text = "time,temp\n2026-06-01T10:00,4 °C\n2026-06-01T10:05,41 °F\n2026-06-01T10:10,4.5\n2026-06-01T10:15,277 K\n";
    let (readings, import) = import_all(text.as_bytes(), &mapping()).unwrap();
    let told: Vec<String> = readings.iter().map(|r| r.temperature.to_string()).collect();
    assert_eq!(told, ["4 °C", "41 °F", "4.5 °C"]);
    assert_eq!(import.other_unit, 1);
    assert_eq!(import.left_out.get(&Reason::BadTemperature), Some(&1), "kelvin is not a kitchen's unit");
}

#[test]
fn without_any_unit_nothing_is_guessed() {
    let text = "time,temp\n2026-06-01T10:00,4\n";
    let (readings, import) = import_all(text.as_bytes(), &Mapping { unit: None, ..mapping() }).unwrap();
    assert!(readings.is_empty());
    assert_eq!(import.left_out.get(&Reason::NoUnit), Some(&1));
}

#[test]
fn a_missing_column_is_named_and_the_nearest_offered() {
    let says = |header: &str| import_all(header.as_bytes(), &mapping()).unwrap_err().to_string();
    assert_eq!(says("time,tmep\n"), "the file has no column `temp`; did you mean `tmep`?");
    assert_eq!(says("when,probe\n"), "the file has no column `time`; its columns are: when, probe");
    assert_eq!(
        says("time,temp,temp\n"),
        "the column `temp` stands twice in the header; give the columns names of their own"
    );
    let nowhere = Mapping { zone: "Europe/Atlantis".into(), ..mapping() };
    assert!(
        import_all("time,temp\n".as_bytes(), &nowhere).unwrap_err().to_string().contains("not a time zone")
    );
}

/// On 25 October 2026 at 3:00 summer time the clocks of Berlin go back to 2:00.
/// Source: Directive 2000/84/EC: last Sunday of October, 01:00 UTC.
#[test]
fn the_hour_that_comes_twice_is_told_apart_by_order() {
    let text = "time,temp\n2026-10-25T01:30,4\n2026-10-25T02:00,4\n2026-10-25T02:30,4\n\
                2026-10-25T02:00,4\n2026-10-25T02:30,4\n2026-10-25T03:00,4\n";
    let (readings, listed) = read(text, &mapping());
    let utc: Vec<&str> = readings.iter().map(|r| &r[11..16]).collect();
    assert_eq!(utc, ["23:30", "00:00", "00:30", "01:00", "01:30", "02:00"]);
    assert!(listed.is_empty());
}

#[test]
fn a_log_that_begins_in_the_doubled_hour_says_that_it_guessed() {
    let (_, import) = import_all("time,temp\n2026-10-25T02:30,4\n".as_bytes(), &mapping()).unwrap();
    assert_eq!(import.guessed_hour, 1);
}

/// On 29 March 2026 Berlin has no 2:30; in New York 8 March has none. Sources: Directive 2000/84/EC; 15 USC 260a.
#[test]
fn the_hour_that_does_not_come_is_left_out_and_the_rest_is_unbroken() {
    let text = "time,temp\n2026-03-29T01:55,4\n2026-03-29T02:30,4\n2026-03-29T03:00,4\n";
    let (readings, listed) = read(text, &mapping());
    assert_eq!(readings, ["2026-03-29T00:55:00Z 4 °C", "2026-03-29T01:00:00Z 4 °C"]);
    assert_eq!(listed, ["3 SkippedTime"]);
    let new_york = Mapping { zone: "America/New_York".into(), ..mapping() };
    let (_, listed) = read("time,temp\n2026-03-08T02:30,4\n", &new_york);
    assert_eq!(listed, ["2 SkippedTime"]);
}

#[test]
fn a_logger_that_does_not_follow_the_clocks_has_a_fixed_zone() {
    let fixed = Mapping { zone: "+01:00".into(), ..mapping() };
    let (readings, listed) = read("time,temp\n2026-03-29T02:30,4\n", &fixed);
    assert_eq!(readings, ["2026-03-29T01:30:00Z 4 °C"]);
    assert!(listed.is_empty());
}

#[test]
fn foreign_ways_of_writing() {
    let german = Mapping {
        time: "Uhrzeit".into(),
        date: Some("Datum".into()),
        temperature: "Temp (°C)".into(),
        unit: None,
        format: Some("%d.%m.%Y %H:%M".into()),
        delimiter: Some(';'),
        decimal_comma: true,
        ..mapping()
    };
    let (readings, _) = read("\u{feff}Datum;Uhrzeit;Temp (°C)\r\n01.06.2026;10:00;4,5\r\n", &german);
    assert_eq!(readings, ["2026-06-01T08:00:00Z 4.5 °C"]);
    let (readings, _) = read("time,temp\n2026-06-01T10:00:00-04:00,4\n", &mapping());
    assert_eq!(readings, ["2026-06-01T14:00:00Z 4 °C"], "an offset of its own goes before the zone");
}

#[test]
fn any_bytes_at_all_are_read_or_refused() {
    for bytes in
        [&b""[..], b"\xff\xfe", b"time,temp\n\xff,\xff\n", b"time,temp\n\"", b"\0\0\0", b"time,temp\n,,,,\n"]
    {
        if let Ok((_, import)) = import_all(bytes, &mapping()) {
            assert_eq!(import.rows, import.used + import.left_out.values().sum::<u64>());
        }
    }
}

/// A log that is never whole in memory: rows are made as they are read.
struct Endless {
    rows_left: u64,
    minute: u64,
    buffer: Vec<u8>,
    given: usize,
}

impl std::io::Read for Endless {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        if self.given == self.buffer.len() && self.rows_left > 0 {
            self.rows_left -= 1;
            self.minute += 1;
            let (day, minute) = (self.minute / 1440 + 1, self.minute % 1440);
            let (month, day) = (day / 28 + 1, day % 28 + 1);
            let (year, month) = (2000 + month / 12, month % 12 + 1);
            self.buffer =
                format!("{year:04}-{month:02}-{day:02}T{:02}:{:02}Z,oops\n", minute / 60, minute % 60)
                    .into_bytes();
            self.given = 0;
        }
        let many = out.len().min(self.buffer.len() - self.given);
        out[..many].copy_from_slice(&self.buffer[self.given..self.given + many]);
        self.given += many;
        Ok(many)
    }
}

/// The worst log for memory is one in which every row is wrong: all are counted, the first are listed.
#[test]
fn a_long_log_of_wrong_rows_is_counted_whole_and_listed_in_bounds() {
    let log = Endless { rows_left: 200_000, minute: 0, buffer: b"time,temp\n".to_vec(), given: 0 };
    let import = import(log, &mapping(), |_| panic!("no row is good")).unwrap();
    assert_eq!((import.rows, import.used), (200_000, 0));
    assert_eq!(import.left_out.get(&Reason::BadTemperature), Some(&200_000));
    assert_eq!(import.listed.len(), LISTED);
}

/// A reading every minute from 3 °C to 7 °C and back: above 5 °C half of the time. Source: geometry.
#[test]
fn time_above_a_limit_is_interpolated_and_gaps_are_unknown() {
    let mut history = History::new(300.0, [Temperature::new(5.0, TemperatureUnit::Celsius)]);
    let text =
        "time,temp\n2026-06-01T10:00Z,3\n2026-06-01T10:04Z,7\n2026-06-01T10:08Z,3\n2026-06-01T12:08Z,9\n";
    import(text.as_bytes(), &mapping(), |reading| history.push(reading)).unwrap();
    let summary = history.summary();
    let above = summary.above[0];
    assert!((above.known_s - 240.0).abs() < 1e-9 && (above.longest_s - 240.0).abs() < 1e-9);
    assert!((above.unknown_s - 7200.0).abs() < 1e-9);
    assert!((above.known_s + above.below_s + above.unknown_s - 7680.0).abs() < 1e-9);
    assert_eq!(summary.gaps, 1);
    assert_eq!(above.first.unwrap().to_string(), "2026-06-01T10:02:00Z");
}
