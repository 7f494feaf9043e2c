//! Codes of what can be wrong with the meaning of a file. Syntax has its own, below these.

mod pages;

pub use pages::PAGES;

/// More problems than a person can read at once; syntax says it by the same code.
pub const MANY: &str = "F0027";
/// A word that cannot stand here.
pub const UNKNOWN_WORD: &str = "F0030";
/// A property that this word does not have.
pub const UNKNOWN_PROPERTY: &str = "F0031";
/// A property that may not be left out.
pub const MISSING_PROPERTY: &str = "F0032";
/// A value of another kind than expected.
pub const WRONG_VALUE: &str = "F0033";
/// An amount, time, temperature or strength that cannot be read.
pub const BAD_QUANTITY: &str = "F0034";
/// Too few or too many values.
pub const ARGUMENTS: &str = "F0035";
/// A flag that this word does not have.
pub const UNKNOWN_FLAG: &str = "F0036";
/// A name that nothing has.
pub const UNKNOWN_NAME: &str = "F0037";
/// The same name twice.
pub const TWICE: &str = "F0038";
/// Parts that are behind each other in a circle.
pub const CIRCLE: &str = "F0039";
/// A side that the machine does not have.
pub const UNKNOWN_SIDE: &str = "F0040";
/// More than a vessel holds.
pub const OVER_CAPACITY: &str = "F0041";
/// A text that lacks a language.
pub const MISSING_TEXT: &str = "F0042";
/// A language that the file does not declare.
pub const UNKNOWN_LANGUAGE: &str = "F0043";
/// The name of another kind of thing.
pub const WRONG_KIND: &str = "F0044";
/// No version, or one that this program does not know.
pub const VERSION: &str = "F0045";
/// Not exactly one machine or kitchen in a file.
pub const ONE_MACHINE: &str = "F0046";
/// Two texts in one language.
pub const TEXT_TWICE: &str = "F0047";
/// A thing that exists on each side, spoken of without a side.
pub const WHICH_SIDE: &str = "F0048";
/// A condition that this kind of thing cannot have.
pub const CONDITION: &str = "F0049";
/// A step that undoes what it then needs.
pub const CONTRADICTS: &str = "F0050";
/// A step that nothing can ever allow.
pub const NEVER_ENABLED: &str = "F0051";
/// Volumes too fine to count exactly.
pub const TOO_FINE: &str = "F0052";
/// A part or a step that is too large for every sink.
pub const TOO_LARGE_FOR_SINK: &str = "F0053";
/// A word that is not one of those possible.
pub const NOT_ONE_OF: &str = "F0054";
/// A time of day that cannot be read.
pub const CLOCK: &str = "F0055";
/// Something that is not kit, used as kit.
pub const NOT_KIT: &str = "F0056";
/// A step in which nothing happens.
pub const EMPTY_STEP: &str = "F0057";
/// Steps that are after each other in a circle.
pub const AFTER_CIRCLE: &str = "F0058";
/// `each-side` or `per="side"` on a machine without sides.
pub const NO_SIDES: &str = "F0059";
/// A number outside its range.
pub const OUT_OF_RANGE: &str = "F0060";
/// A procedure without steps.
pub const NO_STEPS: &str = "F0061";
/// Limits of a reading that cannot be read.
pub const LIMITS: &str = "F0062";
