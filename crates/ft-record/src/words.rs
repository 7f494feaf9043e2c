//! Sentences with blanks, in each language, found by their key.

/// A sentence in each language; `{}` stands for what is filled in, in the same order in all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sentence {
    /// By what it is found.
    pub key: &'static str,
    /// English.
    pub english: &'static str,
    /// Spanish.
    pub spanish: &'static str,
}

/// The sentence of a key in a language (`es`; any other is English), with what was found in its blanks; the key itself
/// where the table has no such sentence, which a test of each table keeps from happening.
pub fn filled(table: &[Sentence], key: &str, language: &str, found: &[String]) -> String {
    let Some(sentence) = table.iter().find(|sentence| sentence.key == key) else { return key.to_owned() };
    let text = if language == "es" { sentence.spanish } else { sentence.english };
    let mut pieces = text.split("{}");
    let mut out = pieces.next().unwrap_or_default().to_owned();
    let blanks = found.iter().map(String::as_str).chain(std::iter::repeat(""));
    for (piece, blank) in pieces.zip(blanks) {
        out.push_str(blank);
        out.push_str(piece);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{Sentence, filled};

    #[test]
    fn fills_blanks_and_nothing_else() {
        let table = [Sentence { key: "K", english: "{} of {}", spanish: "{} de {}" }];
        let found = ["{}".to_owned(), "two".to_owned()];
        assert_eq!(filled(&table, "K", "es", &found), "{} de two");
        assert_eq!(filled(&table, "K", "en", &[]), " of ");
        assert_eq!(filled(&table, "L", "en", &found), "L");
    }
}
