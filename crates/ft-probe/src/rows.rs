//! Rows of a logger's file to readings, as the file grows.
//!
//! Bytes are given as they come. A row counts once its line has ended: half a line waits for the rest of it.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::arrival::{Arrival, Reading, Refusal, shown};
use crate::mapping::{Columns, Probe, Source};
use crate::value::value;

/// A file that is being read.
#[derive(Debug)]
pub struct Rows {
    columns: Columns,
    zone: TimeZone,
    /// Bytes of a line that has not ended.
    half: Vec<u8>,
    places: Option<Places>,
    /// What is wrong with the header: nothing more is read then.
    broken: Option<Refusal>,
    /// The moment of the last row, for the hour that a clock shows twice.
    before: Option<Timestamp>,
}

#[derive(Debug, Clone, Copy)]
struct Places {
    time: usize,
    date: Option<usize>,
    value: usize,
    unit: Option<usize>,
}

/// A line longer than this has no end that anybody will write.
const LONGEST: usize = 64 * 1024;

impl Rows {
    /// At the beginning of a file of a probe; `None` where it is not read from files.
    pub fn of(probe: &Probe) -> Option<Self> {
        let Source::File(columns) = &probe.source else { return None };
        let zone = ft_coldchain::read_zone(&columns.zone).unwrap_or(TimeZone::UTC);
        let columns = columns.clone();
        Some(Self { columns, zone, half: Vec::new(), places: None, broken: None, before: None })
    }

    /// Takes the next bytes of the file; what the lines that ended in them came to.
    pub fn take(&mut self, probe: &Probe, bytes: &[u8]) -> Vec<Arrival> {
        self.half.extend_from_slice(bytes);
        let Some(end) = self.half.iter().rposition(|byte| *byte == b'\n') else {
            if self.half.len() > LONGEST {
                self.half.clear();
                return vec![Err(Refusal::new("P0101", "a line without an end", "look at the logger"))];
            }
            return Vec::new();
        };
        let whole: Vec<u8> = self.half.drain(..=end).collect();
        let mut arrivals = Vec::new();
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(self.columns.delimiter as u8)
            .flexible(true)
            .has_headers(false)
            .from_reader(whole.as_slice());
        for record in reader.byte_records() {
            // Bytes are in memory, so nothing can break off; a row that is no text is told below.
            let Ok(record) = record else { continue };
            let cells: Vec<String> =
                record.iter().map(|cell| String::from_utf8_lossy(cell).trim().to_owned()).collect();
            if self.places.is_none() {
                arrivals.extend(self.header(&cells).err().map(Err));
            } else if self.broken.is_none() {
                arrivals.push(self.row(probe, &cells));
            }
        }
        arrivals
    }

    /// Whether half a line waits for its end.
    pub fn is_half(&self) -> bool {
        !self.half.is_empty()
    }

    fn header(&mut self, cells: &[String]) -> Result<(), Refusal> {
        let place = |name: &str| {
            // Some loggers put a mark of byte order first.
            let mut found =
                cells.iter().enumerate().filter(|(_, cell)| cell.trim_start_matches('\u{feff}') == name);
            match (found.next(), found.next()) {
                (Some((place, _)), None) => Ok(place),
                (Some(_), Some(_)) => Err(Refusal::new(
                    "P0112",
                    format!("the column `{}` stands twice", shown(name)),
                    "give the logger's columns names of their own",
                )),
                (None, _) => Err(Refusal::new(
                    "P0112",
                    format!("the file has no column `{}`", shown(name)),
                    format!("its columns are: {}", shown(&cells.join(", "))),
                )),
            }
        };
        let optional = |name: &Option<String>| name.as_deref().map(place).transpose();
        let read = || {
            Ok(Places {
                time: place(&self.columns.time)?,
                date: optional(&self.columns.date)?,
                value: place(&self.columns.value)?,
                unit: optional(&self.columns.unit)?,
            })
        };
        let read = read();
        self.broken = read.as_ref().err().cloned();
        self.places = Some(read.clone().unwrap_or(Places { time: 0, date: None, value: 0, unit: None }));
        read.map(|_| ())
    }

    fn row(&mut self, probe: &Probe, cells: &[String]) -> Arrival {
        let places = self.places.expect("the header was read before any row");
        let cell = |place: usize| {
            cells.get(place).map(String::as_str).ok_or_else(|| {
                Refusal::new("P0104", format!("a row of {} cells", cells.len()), "look at the logger")
            })
        };
        let time = cell(places.time)?;
        let joined = match places.date {
            None => time.to_owned(),
            Some(date) => {
                format!("{}{}{time}", cell(date)?, if self.columns.format.is_some() { " " } else { "T" })
            }
        };
        let format = self.columns.format.as_deref();
        let moment = ft_coldchain::read_moment(&joined, format, &self.zone, self.before).map_err(|why| {
            let what = match why {
                ft_coldchain::NoMoment::Unreadable => "is no time",
                ft_coldchain::NoMoment::Skipped => "is a time that the clocks jumped over",
            };
            let message = format!("`{}` {what}", shown(&joined));
            Refusal::new("P0107", message, "look at `format` and `zone` of the mapping")
        })?;
        // Where a logger's clock was set back, the rows after it are judged by their own order.
        self.before = Some(moment.at);
        let said = places.unit.map(cell).transpose()?;
        let (value, is_converted) = value(probe, cell(places.value)?, said, self.columns.decimal_comma)?;
        Ok(Reading { at_ms: moment.at.as_millisecond(), value, is_converted })
    }
}
