//! The reference page, printed from the table.

use std::fmt::Write as _;

use ft_units::{MassUnit, StrengthUnit, TemperatureUnit, TimeUnit, Unit, VolumeUnit};

use super::{Property, Takes, WORDS, Word};
use crate::lower::hazards::BUILT_IN;

/// What no table says: how a file is written and what it means. `{UNITS}` and `{HAZARDS}` are filled in.
const MEANING: &str = include_str!("meaning.md");

/// Headings of the page, each with the homes of the words below it.
const CHAPTERS: &[(&str, &[&str])] = &[
    ("The top of a file", &["file"]),
    ("Machines", &["machine"]),
    ("What belongs to an item of a machine", &["solution", "switch", "moves", "line", "part", "fact"]),
    ("Procedures", &["procedure"]),
    (
        "Steps, hazards and goals",
        &["step", "look", "after", "wait", "never", "finds", "hang", "inspect", "store"],
    ),
    ("Kitchens", &["kitchen", "person", "machine in a kitchen"]),
];

/// The whole page, in Markdown.
pub fn reference() -> String {
    let mut page = MEANING.replace("{UNITS}", units().trim_end()).replace("{HAZARDS}", hazards().trim_end());
    let mut told = vec![false; WORDS.len()];
    for (title, homes) in CHAPTERS {
        let _ = write!(page, "\n### {title}\n");
        for (at, word) in WORDS.iter().enumerate() {
            if word.inside.first().is_some_and(|home| homes.contains(home)) {
                told[at] = true;
                entry(&mut page, word);
            }
        }
    }
    debug_assert!(told.iter().all(|told| *told), "a word stands in no chapter");
    page
}

fn entry(page: &mut String, word: &Word) {
    let _ = write!(page, "\n#### `{}`\n\n{}\n\n", word.name, word.means);
    let homes: Vec<String> = word
        .inside
        .iter()
        .map(|home| if *home == "file" { "the top of a file".to_owned() } else { format!("`{home}`") })
        .collect();
    let homes = if homes.len() > 12 { "every item that has a name".to_owned() } else { homes.join(", ") };
    let _ = writeln!(page, "Stands in {homes}. {}\n", arguments(word));
    if !word.flags.is_empty() {
        page.push_str("| flag | meaning |\n| --- | --- |\n");
        for (flag, means) in word.flags {
            let _ = writeln!(page, "| `{flag}` | {} |", cell(means));
        }
        page.push('\n');
    }
    if !word.properties.is_empty() {
        page.push_str("| property | must | takes | meaning | such as |\n| --- | --- | --- | --- | --- |\n");
        for property in word.properties {
            let must = if property.required { "must" } else { "" };
            let _ = writeln!(
                page,
                "| `{}` | {must} | {} | {} | `{}` |",
                property.name,
                cell(&takes(property.takes)),
                cell(property.means),
                sample(word, property)
            );
        }
        page.push('\n');
    }
    let _ = writeln!(page, "```kdl\n{}\n```", word.example);
}

fn arguments(word: &Word) -> String {
    let each: Vec<String> = word.arguments.iter().map(|takes| self::takes(*takes)).collect();
    match each.as_slice() {
        [] => "Takes no value.".to_owned(),
        list if word.repeats => format!("Takes {}, once or more.", list.join(", then ")),
        list => format!("Takes {}.", list.join(", then ")),
    }
}

/// What a value must be, in words.
fn takes(takes: Takes) -> String {
    match takes {
        Takes::NewName => "a new name".into(),
        Takes::Name(what) => format!("the name of a {what}")
            .replace("a item", "an item")
            .replace("a option", "an option")
            .replace("a end", "an end"),
        Takes::Text => "a text".into(),
        Takes::LanguageText => {
            "a text, with the code of its language before it where it is not the first".into()
        }
        Takes::Language => "a language code".into(),
        Takes::Word(words) => words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Takes::Count(low, high) if low == high => format!("the number {low}"),
        Takes::Count(low, high) => format!("a whole number from {low} to {high}"),
        Takes::Number(unit) => format!("a number, {unit}"),
        Takes::Volume => "a volume".into(),
        Takes::Mass => "a mass".into(),
        Takes::Time => "a time".into(),
        Takes::Temperature => "a temperature".into(),
        Takes::Strengths => "a range of strengths".into(),
        Takes::Clock => "a time of day".into(),
        Takes::Limits => "limits with their unit".into(),
    }
}

/// One use of a property: the one in an example of the table where there is one, else one by what it takes.
pub fn sample(word: &Word, property: &Property) -> String {
    let begins = format!(" {}=", property.name);
    let same_first = std::iter::once(word).chain(WORDS);
    let takers = same_first.filter(|other| {
        other.properties.iter().any(|known| known.name == property.name && known.takes == property.takes)
    });
    for other in takers {
        if let Some(at) = other.example.find(&begins) {
            return value_at(&other.example[at + 1..]).to_owned();
        }
    }
    let value = match (property.takes, property.name) {
        (Takes::Word(words), _) => format!("\"{}\"", words[0]),
        (Takes::Count(low, high), _) => high.min(low + 1).to_string(),
        (Takes::Number(_), _) => "1.2".into(),
        (Takes::Volume, _) => "\"2 L\"".into(),
        (Takes::Mass, _) => "\"6 kg\"".into(),
        (Takes::Time, _) => "\"30 s\"".into(),
        (Takes::Temperature, _) => "\"5 °C\"".into(),
        (Takes::Strengths | Takes::Limits, _) => "\"100..200 mg/L\"".into(),
        (Takes::Clock, _) => "\"22:30\"".into(),
        (Takes::Language, _) => "\"es\"".into(),
        (Takes::Name(what), _) => format!("\"{}\"", name_of(what)),
        (Takes::Text, name) => format!("\"{}\"", text_for(name)),
        (Takes::NewName | Takes::LanguageText, _) => "\"name\"".into(),
    };
    format!("{}={value}", property.name)
}

/// From the beginning of `text` to the end of the property that stands there.
fn value_at(text: &str) -> &str {
    let begin = text.find('=').map_or(0, |at| at + 1);
    let rest = &text[begin..];
    let length = match rest.strip_prefix('"') {
        Some(quoted) => quoted.find('"').map_or(rest.len(), |at| at + 2),
        None => rest.find([' ', ';', '\n']).unwrap_or(rest.len()),
    };
    &text[..begin + length]
}

/// A name that the examples of the table use for such a thing.
fn name_of(what: &str) -> &'static str {
    match what {
        "option" => "fourth flavour",
        "place" => "front",
        "side" => "left",
        "solution" => "cleaner",
        "part" => "spinner",
        "vessel" => "barrel",
        "position" => "off",
        "liquid" => "water",
        "value" => "yes",
        "kit" => "bucket",
        "sink" => "wash sink",
        "procedure" => "closing",
        _ => "door",
    }
}

fn text_for(property: &str) -> &'static str {
    match property {
        "photo" => "door.jpg",
        "slot" => "B1",
        "brush" | "with" => "wide brush",
        "remove" => "lowest first",
        "lubricant" => "food grade",
        "pressure" => "pump",
        "skill" => "blades",
        "is" | "is-not" => "off",
        "fitted" => "fourth flavour",
        _ => "a few words",
    }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn units() -> String {
    let mut table = String::from("| amount | units |\n| --- | --- |\n");
    let mut row = |what: &str, units: Vec<String>| {
        let _ = writeln!(table, "| {what} | {} |", units.join(", "));
    };
    row("volume", spelt::<VolumeUnit>());
    row("mass", spelt::<MassUnit>());
    row("time", spelt::<TimeUnit>());
    row("temperature", spelt::<TemperatureUnit>());
    row("strength", spelt::<StrengthUnit>());
    table
}

fn spelt<U: Unit>() -> Vec<String> {
    let one = |spellings: &[&str]| {
        spellings.iter().map(|unit| format!("`{unit}`")).collect::<Vec<_>>().join(" or ")
    };
    U::ALL.iter().map(|(_, spellings)| one(spellings)).collect()
}

fn hazards() -> String {
    let mut table = String::from("| number | what | why |\n| --- | --- | --- |\n");
    for hazard in BUILT_IN {
        let what = if hazard.need { " (a need: the hands cannot)" } else { "" };
        let _ = writeln!(table, "| {} | {}{what} | {} |", hazard.number, hazard.title[0], hazard.why);
    }
    table
}
