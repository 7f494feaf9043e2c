//! The words that documents have of themselves, in English and Spanish; other languages get English ones.

/// Words of one language.
pub(crate) struct Words {
    pub page: &'static str,
    pub caution: &'static str,
    pub nothing: &'static str,
    pub yes: &'static str,
    pub no: &'static str,
    pub unknown: &'static str,
}

/// Words of a language, by its code.
pub(crate) fn of(language: &str) -> &'static Words {
    if is_spanish(language) { &SPANISH } else { &ENGLISH }
}

/// Picks the words of a language.
pub(crate) fn say<'a>(language: &str, english: &'a str, spanish: &'a str) -> &'a str {
    if is_spanish(language) { spanish } else { english }
}

fn is_spanish(language: &str) -> bool {
    language == "es" || language.starts_with("es-")
}

const ENGLISH: Words = Words {
    page: "page",
    caution: "Caution",
    nothing: "nothing",
    yes: "yes",
    no: "no",
    unknown: "not known",
};

const SPANISH: Words =
    Words {
        page: "página", caution: "Cuidado", nothing: "nada", yes: "sí", no: "no", unknown: "no se sabe"
    };
