//! Sentences that the tool writes by itself, in each language that it speaks.

use ft_machine::{Named, Words};

/// Words for people: the label in a language, or the name.
pub fn text<'a>(named: &'a Named, language: &str) -> &'a str {
    named.label.get(language).map_or(named.name.as_str(), String::as_str)
}

/// The same sentence in every language of `languages`, made by a function of the language; languages that the
/// tool does not speak get the English frame around their own names.
pub fn words(languages: &[String], say: impl Fn(&str) -> String) -> Words {
    languages.iter().map(|language| (language.clone(), say(language))).collect()
}

/// Picks the frame of a sentence.
pub fn frame<'a>(language: &str, english: &'a str, spanish: &'a str) -> &'a str {
    if language == "es" { spanish } else { english }
}

/// Puts values into a frame, in order, at each `{}`.
pub fn fill(frame: &str, values: &[&str]) -> String {
    let mut out = String::new();
    let mut values = values.iter();
    for (index, piece) in frame.split("{}").enumerate() {
        if index > 0 {
            out.push_str(values.next().copied().unwrap_or_default());
        }
        out.push_str(piece);
    }
    out
}

/// A list in words: `a, b and c`.
pub fn join(language: &str, items: &[String]) -> String {
    let and = frame(language, " and ", " y ");
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{}{and}{last}", most.join(", ")),
    }
}
