//! Whether an event that a device sent may go into the record: sizes, shapes and names, not who may do what.

use std::collections::BTreeSet;
use std::fmt::Display;

use crate::event::{Event, VERSION};
use crate::fact::{Fact, PartRef};
use crate::id::is_uuid7;
use crate::words::{Sentence, filled};

/// The longest event, bytes of its JSON. A run with many machines and loads is the longest that there is.
pub const MOST_BYTES: usize = 64 * 1024;
/// The longest name of a device, a person, a lot, a part.
pub const MOST_NAME: usize = 200;
/// The longest words that a person can leave.
pub const MOST_WORDS: usize = 4000;
/// The earliest and latest clock that is believed: the years 2020 to 2099.
pub const CLOCK_MS: std::ops::Range<i64> = 1_577_836_800_000..4_102_444_800_000;

/// What is wrong and what would be right, by code, in order of the codes.
pub const SENTENCES: &[Sentence] = &[
    Sentence {
        key: "E0001",
        english: "This is an event of version {}; it has to be {}: load the page anew.",
        spanish: "Es un suceso de la versión {}; debe ser la {}: vuelva a cargar la página.",
    },
    Sentence {
        key: "E0002",
        english: "“{}” is no id; a UUID of version 7 in lower case is.",
        spanish: "«{}» no es un identificador; debe ser un UUID de versión 7 en minúsculas.",
    },
    Sentence {
        key: "E0003",
        english: "{} is no count of a device; it begins at 1.",
        spanish: "{} no es una cuenta de un dispositivo; empieza en 1.",
    },
    Sentence {
        key: "E0004",
        english: "The device's clock is outside the years 2020 to 2099: set it right.",
        spanish: "El reloj del dispositivo no está entre 2020 y 2099: póngalo en hora.",
    },
    Sentence {
        key: "E0005",
        english: "A number in it is none: leave it out, or send it as a number.",
        spanish: "Un número que contiene no lo es: déjelo fuera o envíelo como número.",
    },
    Sentence {
        key: "E0006",
        english: "“{}” is no name: 1 to {} letters on one line are.",
        spanish: "«{}» no es un nombre: debe tener de 1 a {} letras en una línea.",
    },
    Sentence {
        key: "E0007",
        english: "There is no machine “{}” in this kitchen.",
        spanish: "No hay ninguna máquina «{}» en esta cocina.",
    },
    Sentence {
        key: "E0008",
        english: "A step belongs to a night and a machine, and a part to a machine: name them.",
        spanish: "Un paso es de una noche y de una máquina, y una pieza, de una máquina: nómbrelas.",
    },
    Sentence {
        key: "E0009",
        english: "This is {} bytes long; {} are possible.",
        spanish: "Ocupa {} bytes; caben {}.",
    },
    Sentence {
        key: "E0010",
        english: "A reason is missing: say why, in a few words.",
        spanish: "Falta el motivo: diga por qué, en pocas palabras.",
    },
    Sentence {
        key: "E0011",
        english: "A picture is named by the SHA-256 of its bytes, in lower case hex.",
        spanish: "Una foto se nombra con el SHA-256 de sus bytes, en hexadecimal y minúsculas.",
    },
    Sentence {
        key: "E0012",
        english: "{} litres are none: an amount is 0 or more.",
        spanish: "{} litros no es una cantidad: debe ser 0 o más.",
    },
    Sentence {
        key: "E0013",
        english: "A timer of {} s is longer than a week.",
        spanish: "Un temporizador de {} s dura más de una semana.",
    },
    Sentence {
        key: "E0014",
        english: "“{}” is no time zone such as Europe/Madrid.",
        spanish: "«{}» no es una zona horaria como Europe/Madrid.",
    },
    Sentence {
        key: "E0015",
        english: "“{}” is no night: the id of the event that opened it is.",
        spanish: "«{}» no es una noche: lo es el identificador del suceso que la abrió.",
    },
];

/// Why an event is not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// A stable code.
    pub code: &'static str,
    /// What its sentence speaks of, in the order of its blanks.
    pub found: Vec<String>,
}

impl Refusal {
    /// A refusal, with what fills the blanks of its sentence.
    pub fn new(code: &'static str, found: &[&dyn Display]) -> Self {
        Self { code, found: found.iter().map(ToString::to_string).collect() }
    }

    /// What is wrong and what would be right, in a language by its code; English for one that is not there.
    pub fn sentence(&self, language: &str) -> String {
        filled(SENTENCES, self.code, language, &self.found)
    }
}

/// What is known where the event arrives.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The machines of this kitchen.
    pub machines: BTreeSet<String>,
}

/// Looks at an event before it is taken.
///
/// # Errors
/// The first [`Refusal`]; an event that is refused once is refused always, so the device need not keep it.
pub fn check(event: &Event, known: &Known) -> Result<(), Refusal> {
    shape(event)?;
    belongs(event, known)?;
    words(&event.fact)?;
    let long = serde_json::to_string(event).map_or(usize::MAX, |json| json.len());
    if long > MOST_BYTES {
        return refused("E0009", &[&long, &MOST_BYTES]);
    }
    Ok(())
}

fn refused<T>(code: &'static str, found: &[&dyn Display]) -> Result<T, Refusal> {
    Err(Refusal::new(code, found))
}

fn shape(event: &Event) -> Result<(), Refusal> {
    if event.v != VERSION {
        return refused("E0001", &[&event.v, &VERSION]);
    }
    if !is_uuid7(&event.id) {
        return refused("E0002", &[&shortened(&event.id)]);
    }
    if event.order == 0 || event.order > u64::from(u32::MAX) {
        return refused("E0003", &[&event.order]);
    }
    if !CLOCK_MS.contains(&event.at_ms) {
        return refused("E0004", &[]);
    }
    let zone = !event.zone.is_empty()
        && event.zone.len() <= 64
        && event.zone.bytes().all(|letter| letter.is_ascii_alphanumeric() || b"/_+-".contains(&letter));
    if !zone {
        return refused("E0014", &[&shortened(&event.zone)]);
    }
    if !event.is_writable() {
        return refused("E0005", &[]);
    }
    Ok(())
}

fn belongs(event: &Event, known: &Known) -> Result<(), Refusal> {
    name(&event.device)?;
    for text in [&event.person, &event.machine].into_iter().flatten() {
        name(text)?;
    }
    if let Some(run) = &event.run
        && !is_uuid7(run)
    {
        return refused("E0015", &[&shortened(run)]);
    }
    if let Some(machine) = &event.machine
        && !known.machines.contains(machine)
    {
        return refused("E0007", &[&shortened(machine)]);
    }
    // A part is also looked at, or changed, by day.
    let is_move = matches!(event.fact, Fact::Happened { .. } | Fact::Differed { .. });
    let is_of_machine = is_move || part(&event.fact).is_some();
    if (is_move && event.run.is_none()) || (is_of_machine && event.machine.is_none()) {
        return refused("E0008", &[]);
    }
    Ok(())
}

pub(crate) fn part(fact: &Fact) -> Option<&PartRef> {
    match fact {
        Fact::PartSeen { part, .. }
        | Fact::PartMoved { part, .. }
        | Fact::PartMissing { part, .. }
        | Fact::PartFound { part, .. }
        | Fact::PartInspected { part, .. }
        | Fact::PartReplaced { part, .. } => Some(part),
        _ => None,
    }
}

fn words(fact: &Fact) -> Result<(), Refusal> {
    if let Some(part) = part(fact) {
        name(&part.part)?;
    }
    match fact {
        Fact::Happened { event } => name(event),
        Fact::Differed { because, .. }
        | Fact::Corrected { because, .. }
        | Fact::Overridden { because, .. } => {
            if because.trim().is_empty() {
                return refused("E0010", &[]);
            }
            long_words(because)
        }
        Fact::Note { text }
        | Fact::FaultOpened { text }
        | Fact::FaultClosed { text, .. }
        | Fact::AlarmAcknowledged { text, .. } => long_words(text),
        Fact::Photo { sha256, .. } if crate::chain::unhex::<32>(sha256).is_none() => refused("E0011", &[]),
        Fact::Blended { litres, .. } | Fact::Served { litres, .. } | Fact::LotReceived { litres, .. }
            if *litres < 0.0 =>
        {
            refused("E0012", &[litres])
        }
        Fact::TimerStarted { seconds, .. } if *seconds > 7 * 24 * 3600 => refused("E0013", &[seconds]),
        _ => Ok(()),
    }
}

fn name(text: &str) -> Result<(), Refusal> {
    if text.is_empty() || text.len() > MOST_NAME || text.chars().any(char::is_control) {
        return refused("E0006", &[&shortened(text), &MOST_NAME]);
    }
    Ok(())
}

fn long_words(text: &str) -> Result<(), Refusal> {
    if text.len() > MOST_WORDS {
        return refused("E0009", &[&text.len(), &MOST_WORDS]);
    }
    Ok(())
}

/// What somebody sent may be long: enough of it to know it again.
fn shortened(text: &str) -> String {
    text.chars().take(40).filter(|letter| !letter.is_control()).collect()
}
