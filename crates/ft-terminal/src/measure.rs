//! A reading, with its unit and its limit in sight, and at once whether it is good.

use ft_pages::ReadingWanted;
use ft_record::{Fact, ReadingSource};

use crate::console::{Kind, Style};
use crate::talk::{Stop, Talk, lines};

/// Asks what was measured, and for its value.
///
/// # Errors
/// [`Stop`].
pub fn measure(talk: &mut Talk<'_>) -> Result<(), Stop> {
    let words = talk.words;
    let wanted = talk.seat.wanted(words.0);
    if wanted.is_empty() {
        talk.note(words.say("readings.none"));
        return Ok(());
    }
    let limit =
        |of: &ReadingWanted| of.within.clone().unwrap_or_else(|| words.say("readings.no-limit").into());
    let titles: Vec<String> = wanted
        .iter()
        .map(|of| format!("{} ({} {})", of.label, words.say("readings.limit"), limit(of)))
        .collect();
    let Some(chosen) = talk.choose(words.say("readings.wanted"), &titles)? else { return Ok(()) };
    let of = &wanted[chosen];
    talk.page(lines(Style::Title, "", &titles[chosen]))?;
    let typed =
        talk.ask(&words.fill("measure.ask", &[("what", &of.label), ("unit", &of.unit)]), Kind::Line)?;
    if typed.is_empty() {
        return Ok(());
    }
    let Some(value) = number(&typed, &of.unit) else {
        let typed: String = typed.chars().take(40).collect();
        let text = words.fill("measure.bad", &[("typed", &typed), ("unit", &of.unit)]);
        talk.note(&text);
        return Ok(());
    };
    let good = of.is_good(value);
    let fact = Fact::Reading {
        of: of.of.clone(),
        value,
        unit: of.unit.clone(),
        within: of.within.clone(),
        good,
        source: ReadingSource::Hand,
    };
    if talk.tell(of.machine.as_deref(), fact) {
        let verdict = match good {
            Some(true) => format!("✓ {}", words.say("readings.is-good")),
            Some(false) => format!("✗ {}", words.say("readings.is-bad")),
            None => String::new(),
        };
        let said = format!("{} {value} {}", of.label, of.unit);
        let text = format!("{} {verdict}", words.fill("done-so", &[("what", &said)]));
        talk.note(text.trim());
    }
    Ok(())
}

/// A number as people type it: a point or a comma, with or without its unit; nothing that a probe could not show.
fn number(typed: &str, unit: &str) -> Option<f64> {
    let bare = typed.strip_suffix(unit).unwrap_or(typed).trim();
    let plain = bare.replace(',', ".").replace('−', "-");
    let digits = plain.strip_prefix('-').unwrap_or(&plain);
    let is_plain = !digits.is_empty()
        && digits.len() <= 9
        && digits.chars().all(|letter| letter.is_ascii_digit() || letter == '.')
        && digits.matches('.').count() <= 1;
    is_plain.then(|| plain.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_as_people_type_them() {
        assert_eq!(number("150", "mg/L"), Some(150.0));
        assert_eq!(number("-1,5 °C", "°C"), Some(-1.5));
        assert_eq!(number("−18", "°C"), Some(-18.0));
        for bad in ["", ".", "abc", "1.2.3", "1e9", "inf", "NaN", "150 ppm", "1234567890", "--1"] {
            assert_eq!(number(bad, "mg/L"), None, "{bad}");
        }
    }
}
