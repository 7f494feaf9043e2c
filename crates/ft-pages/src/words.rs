//! The words of the pages, in each of their languages, in one table. Words of a machine come from its file.

mod table;

use std::sync::LazyLock;

use table::TABLE;

/// A language of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Language {
    /// English.
    English,
    /// Spanish.
    Spanish,
}

impl Language {
    /// Every language, in the order in which they are offered.
    pub const ALL: [Language; 2] = [Language::English, Language::Spanish];

    /// Its code in BCP 47.
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }

    /// What its readers call it.
    pub fn own_name(self) -> &'static str {
        match self {
            Language::English => "English",
            Language::Spanish => "Español",
        }
    }

    /// The direction of its script, as `dir` says it.
    pub fn direction(self) -> &'static str {
        match self {
            Language::English | Language::Spanish => "ltr",
        }
    }

    /// The language of a code such as `es` or `es-MX`, if there is one.
    pub fn of(code: &str) -> Option<Self> {
        let base = code.split(['-', '_']).next().unwrap_or(code);
        Self::ALL.into_iter().find(|language| base.eq_ignore_ascii_case(language.code()))
    }
}

/// A text by its key; an ellipsis where there is none, which a test keeps from happening.
pub fn text(language: Language, key: &str) -> &'static str {
    let Ok(found) = TABLE.binary_search_by(|row| row.0.cmp(key)) else { return "…" };
    let (_, english, spanish) = TABLE[found];
    match language {
        Language::English => english,
        Language::Spanish => spanish,
    }
}

static JSON: LazyLock<[Vec<u8>; 2]> = LazyLock::new(|| Language::ALL.map(json));

fn json(language: Language) -> Vec<u8> {
    let words: serde_json::Map<String, serde_json::Value> =
        TABLE.iter().map(|row| (row.0.to_owned(), text(language, row.0).into())).collect();
    serde_json::Value::Object(words).to_string().into_bytes()
}

/// The whole table of a language as JSON, at the path where the browser asks for it.
pub(crate) fn asset(path: &str) -> Option<&'static [u8]> {
    let code = path.strip_prefix("/assets/words-")?.strip_suffix(".json")?;
    let index = Language::ALL.iter().position(|language| language.code() == code)?;
    Some(&JSON[index])
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::{Path, PathBuf};

    use super::*;

    /// Found by search, so in order; nothing empty, and what is filled in is filled in in both.
    #[test]
    fn complete_in_every_language() {
        assert!(TABLE.windows(2).all(|pair| pair[0].0 < pair[1].0), "the table is in order of its keys");
        for (key, english, spanish) in TABLE {
            assert!(!english.is_empty() && !spanish.is_empty(), "{key} is empty");
            assert_eq!(blanks(english), blanks(spanish), "{key} has other blanks");
        }
    }

    fn blanks(text: &str) -> BTreeSet<&str> {
        text.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect()
    }

    /// Every key that a page or a module asks for is there, and no key is there for nobody.
    #[test]
    fn asked_for_and_there() {
        let here = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut texts = String::new();
        for folder in ["src", "client"] {
            for file in files(&here.join(folder)) {
                if !file.ends_with("words/table.rs") {
                    texts += &std::fs::read_to_string(&file).expect("a source can be read");
                }
            }
        }
        let asked: BTreeSet<&str> =
            texts.split("say(\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let there: BTreeSet<&str> = TABLE.iter().map(|row| row.0).collect();
        let lacking: Vec<_> = asked.difference(&there).collect();
        assert!(lacking.is_empty(), "asked for and not there: {lacking:?}");
        let idle: Vec<_> = there.iter().filter(|key| !texts.contains(&format!("\"{key}\""))).collect();
        assert!(idle.is_empty(), "there and never asked for: {idle:?}");
    }

    fn files(folder: &Path) -> Vec<PathBuf> {
        let mut found = Vec::new();
        for entry in std::fs::read_dir(folder).expect("a folder of this crate") {
            let path = entry.expect("an entry").path();
            match path.extension().and_then(|ending| ending.to_str()) {
                _ if path.is_dir() => found.extend(files(&path)),
                Some("rs" | "js") => found.push(path),
                _ => {}
            }
        }
        found
    }

    #[test]
    fn languages_by_code() {
        assert_eq!(Language::of("es-MX"), Some(Language::Spanish));
        assert_eq!(Language::of("EN"), Some(Language::English));
        assert_eq!(Language::of("eo"), None);
    }
}
