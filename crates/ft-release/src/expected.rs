//! What a machine should have gone through, out of its machine file and the kitchen's settings.

use std::collections::BTreeMap;

use ft_form::{EventId, Form, VarId, Words};
use ft_record::PartRef;
use ft_units::{
    BadQuantity, Range, StrengthUnit, Temperature, TemperatureUnit, TimeUnit, parse, parse_range,
};

/// What a machine should have gone through.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// What the kitchen calls it.
    pub machine: String,
    /// The closing.
    pub closing: Work,
    /// The opening.
    pub opening: Work,
    /// Its parts.
    pub parts: Vec<Part>,
    /// Insides that are cleaned in place.
    pub circuits: Vec<Circuit>,
    /// Vessels that hold product when it serves.
    pub vessels: Vec<Vessel>,
}

/// A vessel that holds product when the machine serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// As the record names it: `machine/vessel`.
    pub place: String,
    /// The warmest that product may be in it, and who says so.
    pub warmest: Option<(Temperature, String)>,
}

/// A procedure with what is known of its steps.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Work {
    /// SHA-256 of the machine file that it comes from, lower case hex.
    pub file_sha256: String,
    /// Its core form, with the wash loads and options of the run.
    pub form: Form,
    /// By event: the skill that it needs.
    pub skills: BTreeMap<EventId, String>,
    /// Contact times.
    pub contacts: Vec<Contact>,
    /// Readings that its steps ask for.
    pub measures: Vec<Measure>,
}

/// A time that must pass between two events.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// The event with which it begins.
    pub from: EventId,
    /// The event with which it ends.
    pub until: EventId,
    /// Seconds that must pass at least.
    pub least_s: f64,
    /// Who says so, such as the solution's name in the machine file.
    pub says: String,
}

/// A reading that a step asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// What is read: the names that the record may use for it, the one that is shown first. Never empty.
    pub names: Vec<String>,
    /// The limit, as the machine file writes it.
    pub within: String,
    /// The event by which it must have been taken and good: the end of its step.
    pub by: EventId,
}

/// A part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// As the record names it.
    pub part: PartRef,
    /// What people call it.
    pub label: Words,
    /// Its state in the closing's form, where it has one.
    pub closing: Option<VarId>,
    /// Its state in the opening's form, where it has one.
    pub opening: Option<VarId>,
    /// Whether it is lubricated before it is fitted.
    pub lubricated: bool,
    /// How many days it lasts.
    pub lasts_days: Option<f64>,
}

/// An inside that is cleaned in place.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// What people call it.
    pub label: Words,
    /// How clean it is, in the closing's form.
    pub closing: Option<VarId>,
    /// The same in the opening's form.
    pub opening: Option<VarId>,
}

/// The kitchen's settings.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// How long before serving a circuit may have been sanitised, hours.
    pub circuit_hours: f64,
    /// After how many minutes without a reading a probe's temperature is unknown.
    pub stale_min: f64,
    /// What is asked before somebody does a critical step alone.
    pub people: ft_people::Settings,
    /// Where the first three come from, shown with a reason.
    pub says: String,
}

impl Default for Settings {
    /// Source: none, our choice: a circuit is sanitised on the day on which it serves; a logger writes at least every
    /// half hour.
    fn default() -> Self {
        Self {
            circuit_hours: 24.0,
            stale_min: 30.0,
            people: ft_people::Settings::default(),
            says: "the kitchen's own setting".to_owned(),
        }
    }
}

/// A limit as a machine file or a page writes it: `100..200 mg/L`, `< 5 °C`, `<= 5 °C`, `> 60 °C`, `>= 30 s`.
#[derive(Debug, Clone, PartialEq)]
pub enum Limit {
    /// Of a temperature.
    Temperature(Bound<TemperatureUnit>),
    /// Of a strength.
    Strength(Bound<StrengthUnit>),
    /// Of a time.
    Time(Bound<TimeUnit>),
    /// Of a number in any other unit: least, most, and the unit as it is written.
    Plain(f64, f64, String),
}

/// One bound or two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound<U: ft_units::Unit> {
    /// Both ends are allowed.
    Within(Range<U>),
    /// Less than this; with `true` this too.
    Below(ft_units::Quantity<U>, bool),
    /// More than this; with `true` this too.
    Above(ft_units::Quantity<U>, bool),
}

impl Limit {
    /// Reads a limit; `None` for a text that is none.
    pub fn read(text: &str) -> Option<Self> {
        bound(text)
            .map(Self::Temperature)
            .or_else(|_| bound(text).map(Self::Strength))
            .or_else(|_| bound(text).map(Self::Time))
            .ok()
            .or_else(|| plain(text))
    }

    /// Whether a reading is within; `None` where its unit is of another kind, so that nobody can say.
    pub fn holds(&self, value: f64, unit: &str) -> Option<bool> {
        let text = format!("{value} {unit}");
        if !value.is_finite() {
            return Some(false);
        }
        match self {
            Self::Temperature(bound) => Some(holds(*bound, parse(&text).ok()?)),
            Self::Strength(bound) => Some(holds(*bound, parse(&text).ok()?)),
            Self::Time(bound) => Some(holds(*bound, parse(&text).ok()?)),
            Self::Plain(low, high, of) => (of == unit.trim()).then_some(*low <= value && value <= *high),
        }
    }
}

fn bound<U: ft_units::Unit>(text: &str) -> Result<Bound<U>, BadQuantity> {
    let text = text.trim();
    let of = |rest: &str| parse::<U>(rest.trim());
    if let Some(rest) = text.strip_prefix("<=") {
        return Ok(Bound::Below(of(rest)?, true));
    }
    if let Some(rest) = text.strip_prefix('<') {
        return Ok(Bound::Below(of(rest)?, false));
    }
    if let Some(rest) = text.strip_prefix(">=") {
        return Ok(Bound::Above(of(rest)?, true));
    }
    if let Some(rest) = text.strip_prefix('>') {
        return Ok(Bound::Above(of(rest)?, false));
    }
    parse_range::<U>(text).map(Bound::Within)
}

fn holds<U: ft_units::Unit>(bound: Bound<U>, reading: ft_units::Quantity<U>) -> bool {
    match bound {
        Bound::Within(range) => reading.cmp_limit(range.low).is_ge() && reading.cmp_limit(range.high).is_le(),
        Bound::Below(limit, too) => {
            let order = reading.cmp_limit(limit);
            order.is_lt() || (too && order.is_eq())
        }
        Bound::Above(limit, too) => {
            let order = reading.cmp_limit(limit);
            order.is_gt() || (too && order.is_eq())
        }
    }
}

/// `10..14 °Bx`, `30..50 %`: numbers whose unit we do not convert.
fn plain(text: &str) -> Option<Limit> {
    let (low, rest) = text.split_once("..")?;
    let digits = rest.trim().find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.trim().len());
    let (high, unit) = rest.trim().split_at(digits);
    let (low, high): (f64, f64) = (low.trim().parse().ok()?, high.parse().ok()?);
    (low <= high).then_some(Limit::Plain(low, high, unit.trim().to_owned()))
}
