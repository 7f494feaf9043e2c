//! Reads a log row by row, in flat memory, and accounts for every row.

use std::collections::BTreeMap;
use std::io::Read;

use ft_units::{Temperature, TemperatureUnit, Unit};
use jiff::Timestamp;

use crate::history::Reading;
use crate::mapping::{BadMapping, Columns, Mapping, unit_named};
use crate::moment::{self, NoMoment};

/// How many of the rows left out are listed; beyond, they are only counted, so that memory stays flat.
pub const LISTED: usize = 1000;

/// Why a row was left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// Fewer cells than the header.
    ShortRow,
    /// The time cannot be read.
    BadTime,
    /// The clocks jumped over this time.
    SkippedTime,
    /// The time is before that of the row above.
    Backwards,
    /// The same time and temperature as the row above.
    Repeated,
    /// The same time as another row, with another temperature: neither is used.
    Contradicted,
    /// No temperature in the cell.
    Empty,
    /// The temperature cannot be read.
    BadTemperature,
    /// The temperature has no unit.
    NoUnit,
    /// No probe in a kitchen shows that.
    Impossible,
    /// The bytes are not text.
    NotText,
}

impl Reason {
    /// In words.
    pub fn says(self) -> &'static str {
        match self {
            Self::ShortRow => "fewer cells than the header",
            Self::BadTime => "the time cannot be read",
            Self::SkippedTime => "the clocks jumped over this time",
            Self::Backwards => "the time is before that of the row above",
            Self::Repeated => "the same time and temperature as the row above",
            Self::Contradicted => "two temperatures for one time: neither is used",
            Self::Empty => "no temperature",
            Self::BadTemperature => "the temperature cannot be read",
            Self::NoUnit => "the temperature has no unit",
            Self::Impossible => "no probe in a kitchen shows that (-80 to 300 °C)",
            Self::NotText => "the bytes are not text",
        }
    }
}

/// A row that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Line of the file on which the row begins, from 1.
    pub line: u64,
    /// Why.
    pub reason: Reason,
    /// What the cell said.
    pub said: String,
}

/// What became of the rows. `rows = used + all left out`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Import {
    /// Rows below the header.
    pub rows: u64,
    /// Rows that became readings.
    pub used: u64,
    /// How many were left out, by reason.
    pub left_out: BTreeMap<Reason, u64>,
    /// The first of them, at most [`LISTED`], in the order of the file but for contradictions.
    pub listed: Vec<LeftOut>,
    /// Readings in a unit other than that of the mapping, converted.
    pub other_unit: u64,
    /// Readings in an hour that the clock showed twice, taken as the earlier because nothing told.
    pub guessed_hour: u64,
}

impl Import {
    fn leave_out(&mut self, line: u64, reason: Reason, said: &str) {
        *self.left_out.entry(reason).or_default() += 1;
        if self.listed.len() < LISTED {
            self.listed.push(LeftOut { line, reason, said: said.chars().take(80).collect() });
        }
    }
}

/// Reads a log and hands on each reading, in time order, as it comes. Memory does not grow with the log.
///
/// # Errors
/// [`BadMapping`]: a column is missing or stands twice, unit or zone cannot be read, or the file breaks off.
pub fn import(
    source: impl Read,
    mapping: &Mapping,
    mut each: impl FnMut(Reading),
) -> Result<Import, BadMapping> {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(mapping.delimiter_byte()?).flexible(true).from_reader(source);
    let header = reader.byte_headers().map_err(|error| broken(&error))?;
    let header: Vec<String> =
        header.iter().map(|cell| String::from_utf8_lossy(cell).trim().to_owned()).collect();
    let columns = mapping.columns(&header)?;
    let mut rows = Rows { mapping, columns, import: Import::default(), pending: None, before: None };
    let mut record = csv::ByteRecord::new();
    while reader.read_byte_record(&mut record).map_err(|error| broken(&error))? {
        let line = record.position().map_or(0, csv::Position::line);
        rows.take(&record, line, &mut each);
    }
    rows.hand_on(&mut each);
    Ok(rows.import)
}

/// Reads a whole log into memory, for questions that need it twice.
///
/// # Errors
/// As [`import`].
pub fn import_all(source: impl Read, mapping: &Mapping) -> Result<(Vec<Reading>, Import), BadMapping> {
    let mut readings = Vec::new();
    let import = import(source, mapping, |reading| readings.push(reading))?;
    Ok((readings, import))
}

fn broken(error: &csv::Error) -> BadMapping {
    BadMapping { message: format!("the file cannot be read: {error}"), remedy: "export it again".into() }
}

/// A reading that waits for the next row, since that may contradict it.
struct Pending {
    reading: Reading,
    line: u64,
    said: String,
    contradicted: bool,
}

struct Rows<'m> {
    mapping: &'m Mapping,
    columns: Columns,
    import: Import,
    pending: Option<Pending>,
    /// The latest moment that any row has told.
    before: Option<Timestamp>,
}

impl Rows<'_> {
    fn take(&mut self, record: &csv::ByteRecord, line: u64, each: &mut impl FnMut(Reading)) {
        self.import.rows += 1;
        match self.read(record) {
            Err((reason, said)) => self.import.leave_out(line, reason, &said),
            Ok((reading, said)) => self.place(reading, line, said, each),
        }
    }

    fn place(&mut self, reading: Reading, line: u64, said: String, each: &mut impl FnMut(Reading)) {
        let later = self.before.is_none_or(|before| before < reading.at);
        if later {
            self.hand_on(each);
            self.before = Some(reading.at);
            self.pending = Some(Pending { reading, line, said, contradicted: false });
            return;
        }
        match &mut self.pending {
            Some(pending) if pending.reading.at == reading.at => {
                if pending.reading.temperature == reading.temperature && !pending.contradicted {
                    self.import.leave_out(line, Reason::Repeated, &said);
                } else {
                    pending.contradicted = true;
                    self.import.leave_out(line, Reason::Contradicted, &said);
                }
            }
            _ => self.import.leave_out(line, Reason::Backwards, &said),
        }
    }

    /// Hands on the reading that waited, unless it was contradicted.
    fn hand_on(&mut self, each: &mut impl FnMut(Reading)) {
        let Some(pending) = self.pending.take() else { return };
        if pending.contradicted {
            self.import.leave_out(pending.line, Reason::Contradicted, &pending.said);
        } else {
            self.import.used += 1;
            each(pending.reading);
        }
    }

    /// The reading of a row with the words it was read from, or why there is none.
    fn read(&mut self, record: &csv::ByteRecord) -> Result<(Reading, String), (Reason, String)> {
        let when = cell(record, self.columns.time)?;
        let joined = match self.columns.date {
            Some(date) => format!(
                "{}{}{when}",
                cell(record, date)?,
                if self.mapping.format.is_some() { " " } else { "T" }
            ),
            None => when.to_owned(),
        };
        let moment = moment::read(&joined, self.mapping.format.as_deref(), &self.columns.zone, self.before);
        let moment = moment.map_err(|why| match why {
            NoMoment::Unreadable => (Reason::BadTime, joined.clone()),
            NoMoment::Skipped => (Reason::SkippedTime, joined.clone()),
        })?;
        let said = cell(record, self.columns.temperature)?;
        let row_unit = self.columns.unit_column.map(|column| cell(record, column)).transpose()?;
        let temperature = self.temperature(said, row_unit).map_err(|reason| (reason, said.to_owned()))?;
        self.import.guessed_hour += u64::from(moment.guessed);
        Ok((Reading { at: moment.at, temperature }, format!("{joined} {said}")))
    }

    fn temperature(&mut self, said: &str, row_unit: Option<&str>) -> Result<Temperature, Reason> {
        if said.is_empty() {
            return Err(Reason::Empty);
        }
        let end =
            said.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | 'e' | 'E')));
        let (number, own_unit) = said.split_at(end.unwrap_or(said.len()));
        let number = number.trim();
        let value = match (number.contains(','), self.mapping.decimal_comma) {
            (true, true) => number.replace(',', ".").parse::<f64>(),
            _ => number.parse::<f64>(),
        };
        let value = value.ok().filter(|value| value.is_finite()).ok_or(Reason::BadTemperature)?;
        let own_unit = own_unit.trim();
        let told = match (own_unit.is_empty(), row_unit) {
            (false, _) => Some(unit_named(own_unit).ok_or(Reason::BadTemperature)?),
            (true, Some(unit)) if !unit.is_empty() => Some(unit_named(unit).ok_or(Reason::BadTemperature)?),
            (true, _) => None,
        };
        let unit = told.or(self.columns.unit).ok_or(Reason::NoUnit)?;
        let celsius = unit.to_base(value);
        if !(-80.0..=300.0).contains(&celsius) {
            return Err(Reason::Impossible);
        }
        self.import.other_unit +=
            u64::from(self.columns.unit.is_some_and(|named: TemperatureUnit| named != unit));
        Ok(Temperature::new(value, unit))
    }
}

fn cell(record: &csv::ByteRecord, place: usize) -> Result<&str, (Reason, String)> {
    let bytes = record.get(place).ok_or_else(|| (Reason::ShortRow, format!("{} cells", record.len())))?;
    std::str::from_utf8(bytes)
        .map(str::trim)
        .map_err(|_| (Reason::NotText, String::from_utf8_lossy(bytes).into_owned()))
}
