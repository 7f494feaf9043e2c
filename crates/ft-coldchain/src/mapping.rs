//! Which column of a foreign log means what: named once, remembered by the caller.

use std::fmt;

use ft_units::{TemperatureUnit, Unit};
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};

/// How to read a log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// Column of the time, or of date and time.
    pub time: String,
    /// Column of the date where it stands apart from the time.
    #[serde(default)]
    pub date: Option<String>,
    /// Column of the temperature.
    pub temperature: String,
    /// Unit of the temperature, `°C` or `°F`; a unit in the cell itself goes first.
    #[serde(default)]
    pub unit: Option<String>,
    /// Column of the unit, where each row has its own.
    #[serde(default)]
    pub unit_column: Option<String>,
    /// Zone of the logger's clock, such as `Europe/Berlin`, `UTC` or `+02:00`. Times with an offset of their own
    /// do not need it.
    pub zone: String,
    /// How times are written, in the manner of `strptime`; ISO 8601 where it is not given.
    #[serde(default)]
    pub format: Option<String>,
    /// What stands between columns; a comma where it is not given.
    #[serde(default)]
    pub delimiter: Option<char>,
    /// Whether decimals have a comma.
    #[serde(default)]
    pub decimal_comma: bool,
}

/// Why a log cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadMapping {
    /// What is wrong, one plain sentence without a full stop.
    pub message: String,
    /// What would be right.
    pub remedy: String,
}

impl fmt::Display for BadMapping {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.message, self.remedy)
    }
}

impl std::error::Error for BadMapping {}

/// A mapping held against the header of a file.
pub(crate) struct Columns {
    pub time: usize,
    pub date: Option<usize>,
    pub temperature: usize,
    pub unit_column: Option<usize>,
    pub unit: Option<TemperatureUnit>,
    pub zone: TimeZone,
}

impl Mapping {
    /// The places of the columns, and unit and zone read.
    pub(crate) fn columns(&self, header: &[String]) -> Result<Columns, BadMapping> {
        let optional = |name: &Option<String>| name.as_deref().map(|name| place(name, header)).transpose();
        let unit = self.unit.as_deref().map(read_unit).transpose()?;
        Ok(Columns {
            time: place(&self.time, header)?,
            date: optional(&self.date)?,
            temperature: place(&self.temperature, header)?,
            unit_column: optional(&self.unit_column)?,
            // A unit in the header, such as `Temp (°F)`, is as good as one that was named.
            unit: unit.or_else(|| unit_in(&self.temperature)),
            zone: read_zone(&self.zone)?,
        })
    }

    pub(crate) fn delimiter_byte(&self) -> Result<u8, BadMapping> {
        u8::try_from(self.delimiter.unwrap_or(',')).map_err(|_| BadMapping {
            message: "what stands between columns is not a plain character".into(),
            remedy: "give a comma, a semicolon or a tab".into(),
        })
    }
}

fn place(name: &str, header: &[String]) -> Result<usize, BadMapping> {
    let mut places = header.iter().enumerate().filter(|(_, column)| column.trim() == name);
    match (places.next(), places.next()) {
        (Some((place, _)), None) => Ok(place),
        (Some(_), Some(_)) => Err(BadMapping {
            message: format!("the column `{name}` stands twice in the header"),
            remedy: "give the columns names of their own".into(),
        }),
        (None, _) => {
            let nearest = header
                .iter()
                .map(|column| (strsim::jaro_winkler(column, name), column))
                .filter(|(likeness, _)| *likeness > 0.8)
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let remedy = match nearest {
                Some((_, column)) => format!("did you mean `{column}`?"),
                None => format!("its columns are: {}", header.join(", ")),
            };
            Err(BadMapping { message: format!("the file has no column `{name}`"), remedy })
        }
    }
}

pub(crate) fn unit_named(text: &str) -> Option<TemperatureUnit> {
    TemperatureUnit::ALL.iter().find(|(_, spellings)| spellings.contains(&text.trim())).map(|(unit, _)| *unit)
}

fn read_unit(text: &str) -> Result<TemperatureUnit, BadMapping> {
    unit_named(text).ok_or_else(|| BadMapping {
        message: format!("`{text}` is not a unit of temperature"),
        remedy: "write `°C` or `°F`".into(),
    })
}

fn unit_in(header: &str) -> Option<TemperatureUnit> {
    match (header.contains("°C"), header.contains("°F")) {
        (true, false) => Some(TemperatureUnit::Celsius),
        (false, true) => Some(TemperatureUnit::Fahrenheit),
        _ => None,
    }
}

/// A zone by its name, such as `Europe/Berlin`, or by its offset, such as `+02:00`.
///
/// # Errors
/// [`BadMapping`] for a zone that there is not.
pub fn read_zone(text: &str) -> Result<TimeZone, BadMapping> {
    let fixed = jiff::fmt::temporal::DateTimeParser::new().parse_time_zone(text);
    fixed.map_err(|_| BadMapping {
        message: format!("`{text}` is not a time zone"),
        remedy: "write one such as `Europe/Berlin`, `America/New_York`, `UTC` or `+02:00`".into(),
    })
}
