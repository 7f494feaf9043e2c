//! The answer: plain structs that serialise to the JSON of docs/release.md.

use ft_form::Words;
use serde::Serialize;

/// Said with every answer.
pub const CAUTION: &str = "This reads what was recorded; it does not see the machine. Local code, the equipment's own \
     instructions and licensed practice come first, and a person decides.";

/// The same in Spanish.
pub const CAUTION_ES: &str = "Esto lee lo que se anotó; no ve la máquina. Primero van las normas locales, las \
     instrucciones del equipo y la práctica autorizada, y decide una persona.";

/// Whether a machine may serve, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Decision {
    /// The machine.
    pub machine: String,
    /// The moment of the question, milliseconds since 1970.
    pub at_ms: i64,
    /// Whether it may serve: no reason stands that was not set aside.
    pub may_serve: bool,
    /// Every reason against it, those that stand first.
    pub reasons: Vec<Reason>,
    /// What was looked at, by code, whether or not it gave a reason.
    pub looked_at: Vec<Code>,
    /// The closing that was judged: the id of its run.
    pub closing: Option<String>,
    /// The opening that was judged.
    pub opening: Option<String>,
    /// Said with it, by language.
    pub caution: Words,
}

/// Why it may not serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    /// Which kind.
    pub code: Code,
    /// What it is about: a part, a step, a lot.
    pub subject: String,
    /// Code and subject: what an override names.
    pub key: String,
    /// One plain sentence, by language (`en`, `es`).
    pub sentence: Words,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
    /// The text behind it, where there is one.
    pub text: Option<TextReference>,
    /// Whether a lead may set it aside.
    pub may_be_overridden: bool,
    /// Who set it aside, if somebody did who may.
    pub overridden: Option<OverriddenBy>,
    /// What would turn it into a yes, by language.
    pub yes_when: Words,
}

/// What a reason rests on.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Evidence {
    /// The id of an event; `None`: that there is none is the evidence.
    pub event: Option<String>,
    /// When, milliseconds since 1970.
    pub at_ms: Option<i64>,
    /// The value that was found.
    pub value: Option<String>,
    /// The limit that holds.
    pub limit: Option<String>,
}

/// A text that a limit comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TextReference {
    /// Whose: rule set and paragraph, machine file, or the kitchen's own setting.
    pub says: String,
}

/// Who set a reason aside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OverriddenBy {
    /// The event.
    pub event: String,
    /// Who.
    pub by: String,
    /// Why.
    pub because: String,
}

/// Kinds of reasons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Code {
    /// No closing was recorded.
    NoClosing,
    /// No opening was recorded after the last closing.
    NoOpening,
    /// The run was made with another machine file.
    FileChanged,
    /// A step or a stage of a wash did not happen.
    StepSkipped,
    /// Something happened that may not happen then, and nobody settled it.
    OutOfOrder,
    /// It happened differently, and somebody said so.
    Differed,
    /// Something happened that shows a hazard of the procedure.
    Dangerous,
    /// Everything happened, but the end is not what it should be.
    EndMissed,
    /// A part is not to be found.
    PartMissing,
    /// A part did not go through its whole journey.
    JourneyIncomplete,
    /// A part is not on the machine.
    PartNotFitted,
    /// A part was looked at and found bad.
    PartBad,
    /// A part that needs it was not lubricated.
    NotLubricated,
    /// A part is past its life and was not inspected.
    PastLife,
    /// A contact time was too short.
    ContactShort,
    /// A reading is outside its limit.
    ReadingFailed,
    /// A reading was not taken.
    ReadingMissing,
    /// A circuit was not sanitised.
    NotSanitised,
    /// A circuit was sanitised too long ago.
    SanitisedTooEarly,
    /// Product is warmer than it may be.
    TooWarm,
    /// Nobody knows how warm product is.
    TemperatureUnknown,
    /// Product has to go: its date, an unknown origin, a recall.
    LotExpired,
    /// What is in a vessel was not told.
    LotsUntold,
    /// A fault is open.
    FaultOpen,
    /// Somebody did a critical step who may not do it alone.
    NotAllowed,
    /// Nobody signed who may sign.
    NotSigned,
}

impl Code {
    /// All of them.
    pub const ALL: [Self; 26] = [
        Self::NoClosing,
        Self::NoOpening,
        Self::FileChanged,
        Self::StepSkipped,
        Self::OutOfOrder,
        Self::Differed,
        Self::Dangerous,
        Self::EndMissed,
        Self::PartMissing,
        Self::JourneyIncomplete,
        Self::PartNotFitted,
        Self::PartBad,
        Self::NotLubricated,
        Self::PastLife,
        Self::ContactShort,
        Self::ReadingFailed,
        Self::ReadingMissing,
        Self::NotSanitised,
        Self::SanitisedTooEarly,
        Self::TooWarm,
        Self::TemperatureUnknown,
        Self::LotExpired,
        Self::LotsUntold,
        Self::FaultOpen,
        Self::NotAllowed,
        Self::NotSigned,
    ];

    /// The word for it, as in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::NoClosing => "no-closing",
            Self::NoOpening => "no-opening",
            Self::FileChanged => "file-changed",
            Self::StepSkipped => "step-skipped",
            Self::OutOfOrder => "out-of-order",
            Self::Differed => "differed",
            Self::Dangerous => "dangerous",
            Self::EndMissed => "end-missed",
            Self::PartMissing => "part-missing",
            Self::JourneyIncomplete => "journey-incomplete",
            Self::PartNotFitted => "part-not-fitted",
            Self::PartBad => "part-bad",
            Self::NotLubricated => "not-lubricated",
            Self::PastLife => "past-life",
            Self::ContactShort => "contact-short",
            Self::ReadingFailed => "reading-failed",
            Self::ReadingMissing => "reading-missing",
            Self::NotSanitised => "not-sanitised",
            Self::SanitisedTooEarly => "sanitised-too-early",
            Self::TooWarm => "too-warm",
            Self::TemperatureUnknown => "temperature-unknown",
            Self::LotExpired => "lot-expired",
            Self::LotsUntold => "lots-untold",
            Self::FaultOpen => "fault-open",
            Self::NotAllowed => "not-allowed",
            Self::NotSigned => "not-signed",
        }
    }

    /// Whether a lead may set it aside. What can hurt a guest and cannot be seen any more, never.
    pub fn may_be_overridden(self) -> bool {
        match self {
            Self::Differed
            | Self::Dangerous
            | Self::NotLubricated
            | Self::PastLife
            | Self::TemperatureUnknown
            | Self::LotsUntold
            | Self::FaultOpen
            | Self::NotAllowed => true,
            Self::NoClosing
            | Self::NoOpening
            | Self::FileChanged
            | Self::StepSkipped
            | Self::OutOfOrder
            | Self::EndMissed
            | Self::PartMissing
            | Self::JourneyIncomplete
            | Self::PartNotFitted
            | Self::PartBad
            | Self::ContactShort
            | Self::ReadingFailed
            | Self::ReadingMissing
            | Self::NotSanitised
            | Self::SanitisedTooEarly
            | Self::TooWarm
            | Self::LotExpired
            | Self::NotSigned => false,
        }
    }
}

impl Decision {
    /// Reasons that stand.
    pub fn standing(&self) -> impl Iterator<Item = &Reason> {
        self.reasons.iter().filter(|reason| reason.overridden.is_none())
    }
}
