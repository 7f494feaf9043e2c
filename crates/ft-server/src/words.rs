//! What the server says in the reader's language: why an event is refused, and why nobody is signed in.
//!
//! The pages have their own table in `ft-pages`, which the browser loads; these sentences have to come from the server.

use axum::http::StatusCode;
use ft_record::incoming::{self, Refusal};
use ft_record::{Sentence, filled};

use crate::problem::Problem;

/// By key, in order: the code, and for a remedy the code with `.remedy`.
const SENTENCES: &[Sentence] = &[
    Sentence {
        key: "W0402",
        english: "Name and PIN do not belong together.",
        spanish: "El nombre y el PIN no corresponden.",
    },
    Sentence {
        key: "W0402.remedy",
        english: "Try again; a lead can set a new PIN.",
        spanish: "Inténtelo otra vez; un encargado puede poner un PIN nuevo.",
    },
    Sentence { key: "W0405", english: "This is not the code.", spanish: "Este no es el código." },
    Sentence {
        key: "W0405.remedy",
        english: "Read the code from the terminal in which the program runs; it changes after a wrong try.",
        spanish: "Lea el código en el terminal en el que funciona el programa; cambia tras cada intento erróneo.",
    },
    Sentence {
        key: "W0423",
        english: "Too many wrong PINs: this name is locked.",
        spanish: "Demasiados PIN erróneos: este nombre está bloqueado.",
    },
    Sentence {
        key: "W0423.remedy",
        english: "Ask a lead to set a new PIN.",
        spanish: "Pida a un encargado que ponga un PIN nuevo.",
    },
    Sentence {
        key: "W0427",
        english: "Too many wrong PINs from this device or its network: wait {} s.",
        spanish: "Demasiados PIN erróneos desde este dispositivo o su red: espere {} s.",
    },
    Sentence {
        key: "W0427.remedy",
        english: "Wait, or sign in on a tablet on which you have signed in before.",
        spanish: "Espere, o entre en una tableta en la que ya haya entrado antes.",
    },
    Sentence {
        key: "W0429",
        english: "Too many wrong PINs for this name: wait {} s.",
        spanish: "Demasiados PIN erróneos para este nombre: espere {} s.",
    },
    Sentence {
        key: "W0429.remedy",
        english: "Wait, then try again; a lead can set a new PIN.",
        spanish: "Espere y vuelva a intentarlo; un encargado puede poner un PIN nuevo.",
    },
    Sentence {
        key: "W0430",
        english: "This event cannot be read: {}.",
        spanish: "Este suceso no se puede leer: {}.",
    },
    Sentence {
        key: "W0431",
        english: "This device has said something else under its number {}.",
        spanish: "Este dispositivo ya dijo otra cosa con su número {}.",
    },
    Sentence {
        key: "W0434",
        english: "It says that it comes from the server itself, which it does not.",
        spanish: "Dice que viene del propio servidor, y no es así.",
    },
    Sentence {
        key: "W0435",
        english: "Its time is more than a day ahead: set the device's clock.",
        spanish: "Su hora va más de un día adelantada: ponga en hora el dispositivo.",
    },
    Sentence { key: "W0439", english: "It does not say who did it.", spanish: "No dice quién lo hizo." },
    Sentence {
        key: "W0440",
        english: "{} has never signed in on this device.",
        spanish: "{} no ha entrado nunca en este dispositivo.",
    },
    Sentence {
        key: "W0441",
        english: "The server says this itself, when it is asked to.",
        spanish: "Esto lo dice el propio servidor, cuando se le pide.",
    },
    Sentence {
        key: "W0442",
        english: "Whoever said this may not say it.",
        spanish: "Quien lo dijo no puede decirlo.",
    },
    Sentence { key: "W0443", english: "There is no such night.", spanish: "No existe esa noche." },
    Sentence {
        key: "W0444",
        english: "It cannot be signed yet: {}",
        spanish: "Todavía no se puede firmar: {}",
    },
    Sentence {
        key: "W0446",
        english: "There is no machine “{}” in this night.",
        spanish: "No hay ninguna máquina «{}» en esta noche.",
    },
    Sentence {
        key: "W0447",
        english: "There is no step “{}” on this machine.",
        spanish: "Esta máquina no tiene ningún paso «{}».",
    },
    Sentence { key: "W0448", english: "Not yet: {}", spanish: "Todavía no: {}" },
    Sentence {
        key: "W0449",
        english: "{} slips in {} moves are not passed: there may be {}.",
        spanish: "{} errores en {} movimientos no es aprobar: puede haber {}.",
    },
];

/// Why an event is not taken, in a language by its code.
pub fn refusal(why: &Refusal, language: &str) -> String {
    let is_of_record = incoming::SENTENCES.iter().any(|sentence| sentence.key == why.code);
    if is_of_record { why.sentence(language) } else { filled(SENTENCES, why.code, language, &why.found) }
}

/// A problem with message and remedy in a language by its code.
pub fn problem(status: StatusCode, code: &'static str, language: &str, found: &[String]) -> Problem {
    let message = filled(SENTENCES, code, language, found);
    Problem::new(status, code, message, filled(SENTENCES, &format!("{code}.remedy"), language, &[]))
}

#[cfg(test)]
mod tests {
    use ft_record::incoming;

    use super::SENTENCES;

    #[test]
    fn the_same_blanks_in_every_language_and_in_order() {
        for sentence in SENTENCES {
            let blanks = |text: &str| text.matches("{}").count();
            assert_eq!(blanks(sentence.english), blanks(sentence.spanish), "{}", sentence.key);
            assert!(sentence.english != sentence.spanish && !sentence.spanish.is_empty(), "{}", sentence.key);
            assert!(incoming::SENTENCES.iter().all(|of_record| of_record.key != sentence.key));
        }
        assert!(SENTENCES.windows(2).all(|pair| pair[0].key < pair[1].key));
    }

    /// What is refused or asked for with words of the table has a sentence in it.
    #[test]
    fn every_key_is_there_and_none_is_idle() {
        let sources = [include_str!("api/events.rs"), include_str!("api/sign_in.rs")].concat();
        for sentence in SENTENCES.iter().filter(|sentence| !sentence.key.ends_with(".remedy")) {
            assert!(sources.contains(&format!("\"{}\"", sentence.key)), "{} is said nowhere", sentence.key);
        }
        for asked in sources.split("refused(\"").skip(1) {
            let code = asked.split('"').next().unwrap_or_default();
            assert!(SENTENCES.iter().any(|sentence| sentence.key == code), "{code} has no words");
        }
    }
}
