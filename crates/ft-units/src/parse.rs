//! Reads quantities as people write them: `7 L`, `100..200 mg/L`, `-6.5 °C`.

use std::fmt;

use crate::quantity::{Quantity, Range, Unit};

/// What is wrong with the text of a quantity, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadQuantity {
    /// What is wrong, one plain sentence without a full stop.
    pub message: String,
    /// What would be right.
    pub remedy: String,
}

impl fmt::Display for BadQuantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.message, self.remedy)
    }
}

impl std::error::Error for BadQuantity {}

/// Reads one quantity.
///
/// # Errors
/// [`BadQuantity`]: no number, no unit, a unit of another kind, a decimal comma, below what is possible.
pub fn parse<U: Unit>(text: &str) -> Result<Quantity<U>, BadQuantity> {
    let (number, unit) = split(text);
    let quantity: Quantity<U> = Quantity::new(parse_number::<U>(number, text)?, parse_unit(unit, text)?);
    if quantity.unit.to_base(quantity.value) < <U as Unit>::LEAST {
        return Err(BadQuantity {
            message: format!("`{text}` is below what {} can be", U::WHAT),
            remedy: format!(
                "write at least {}",
                Quantity::new(quantity.unit.of_base(U::LEAST), quantity.unit)
            ),
        });
    }
    Ok(quantity)
}

/// Reads a range such as `100..200 mg/L`; the unit stands once, at the end.
///
/// # Errors
/// As [`parse`]; also when the range runs backwards.
pub fn parse_range<U: Unit>(text: &str) -> Result<Range<U>, BadQuantity> {
    let Some((low, rest)) = text.split_once("..") else {
        return Err(BadQuantity {
            message: format!("`{text}` is not a range"),
            remedy: format!(
                "write the least and the most with two dots between, such as `{}`",
                example_range::<U>()
            ),
        });
    };
    let high: Quantity<U> = parse(rest)?;
    let low = Quantity::new(parse_number::<U>(low.trim(), text)?, high.unit);
    if low.value > high.value {
        return Err(BadQuantity {
            message: format!("the range `{text}` runs backwards"),
            remedy: format!("write `{}..{}`", high.value, Quantity::new(low.value, high.unit)),
        });
    }
    Ok(Range { low, high })
}

/// The number in front, and the rest.
fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    (&text[..end], text[end..].trim())
}

fn parse_number<U: Unit>(number: &str, whole: &str) -> Result<f64, BadQuantity> {
    if number.contains(',') {
        return Err(BadQuantity {
            message: format!("`{whole}` has a comma in its number"),
            remedy: format!("write a dot for decimals, such as `{}`", number.replace(',', ".")),
        });
    }
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() && value.abs() < 1e9 => Ok(value),
        Ok(_) => Err(BadQuantity {
            message: format!("the number in `{whole}` is too large"),
            remedy: "write a number below a thousand million".into(),
        }),
        Err(_) => Err(BadQuantity {
            message: format!("`{whole}` does not begin with a number"),
            remedy: format!("write {} such as `{}`", U::WHAT, example::<U>()),
        }),
    }
}

fn parse_unit<U: Unit>(unit: &str, whole: &str) -> Result<U, BadQuantity> {
    let known = U::ALL.iter().find(|(_, spellings)| spellings.contains(&unit));
    if let Some((unit, _)) = known {
        return Ok(*unit);
    }
    let message = if unit.is_empty() {
        format!("`{whole}` has no unit")
    } else {
        format!("`{unit}` is not a unit of {}", U::WHAT.trim_start_matches("a "))
    };
    let symbols: Vec<&str> = U::ALL.iter().map(|(unit, _)| unit.symbol()).collect();
    let remedy = if unit.is_empty() {
        format!("write its unit after it: {}", symbols.join(", "))
    } else {
        format!("write one of: {}", symbols.join(", "))
    };
    Err(BadQuantity { message, remedy })
}

fn example<U: Unit>() -> String {
    format!("10 {}", U::ALL[0].0.symbol())
}

fn example_range<U: Unit>() -> String {
    format!("10..20 {}", U::ALL[0].0.symbol())
}

#[cfg(test)]
mod tests {
    use super::{parse, parse_range};
    use crate::{TemperatureUnit, TimeUnit, Volume, VolumeUnit};

    #[test]
    fn reads_what_people_write() {
        let volume: Volume = parse("7 L").unwrap();
        assert!((volume.value - 7.0).abs() < f64::EPSILON);
        assert_eq!(parse::<VolumeUnit>("2.5 US gal").unwrap().to_string(), "2.5 US gal");
        assert_eq!(parse::<TemperatureUnit>("-6.5 °C").unwrap().to_string(), "-6.5 °C");
        assert_eq!(parse_range::<TimeUnit>("10..20 min").unwrap().to_string(), "10 min to 20 min");
    }

    #[test]
    fn says_what_is_wrong_and_what_would_be_right() {
        let says = |text: &str| parse::<VolumeUnit>(text).unwrap_err().to_string();
        assert_eq!(says("7"), "`7` has no unit; write its unit after it: L, mL, US gal, US qt, fl oz, tbsp");
        assert_eq!(
            says("7 min"),
            "`min` is not a unit of volume; write one of: L, mL, US gal, US qt, fl oz, tbsp"
        );
        assert_eq!(
            says("1,5 L"),
            "`1,5 L` has a comma in its number; write a dot for decimals, such as `1.5`"
        );
        assert_eq!(says("lots"), "`lots` does not begin with a number; write a volume such as `10 L`");
        assert_eq!(says("-1 L"), "`-1 L` is below what a volume can be; write at least 0 L");
    }

    /// 75 °F passes a limit of 75 °F, whichever unit it travelled in; the rounded 24 °C would fail it.
    /// Source of the trap: US FDA Food Code 4-501.114 gives both figures.
    #[test]
    fn conversion_there_and_back_changes_no_verdict() {
        for tenth in -500..2500 {
            let limit = super::Quantity::new(f64::from(tenth) / 10.0, TemperatureUnit::Fahrenheit);
            let there_and_back = limit.to(TemperatureUnit::Celsius);
            assert_eq!(there_and_back.cmp_limit(limit), std::cmp::Ordering::Equal, "{limit}");
        }
    }
}
