//! What rules speak about: the one list of subjects, practices and circumstances.

use crate::amount::Dimension;
use crate::model::Bound;

/// A figure that rules can limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Subject {
    /// Its name in files and on the command line.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Which way it is limited.
    pub bound: Bound,
    /// What it is, to go on from "the".
    pub says: &'static str,
}

const fn at_least(name: &'static str, dimension: Dimension, says: &'static str) -> Subject {
    Subject { name, dimension, bound: Bound::AtLeast, says }
}

const fn at_most(name: &'static str, dimension: Dimension, says: &'static str) -> Subject {
    Subject { name, dimension, bound: Bound::AtMost, says }
}

/// Every figure that rules can limit.
pub const SUBJECTS: &[Subject] = &[
    at_most("sanitiser-ceiling", Dimension::Strength, "strength of a sanitiser that is not rinsed off"),
    at_least("wash-temperature", Dimension::Temperature, "temperature of the wash water"),
    at_least("rinse-temperature", Dimension::Temperature, "temperature of the rinse water"),
    at_least("hot-water-temperature", Dimension::Temperature, "temperature of water that sanitises"),
    at_least("hot-water-contact", Dimension::Time, "time in water that sanitises"),
    at_least("machine-surface-temperature", Dimension::Temperature, "surface temperature in a dish machine"),
    at_least("assembled-heat-temperature", Dimension::Temperature, "heat applied to the assembled machine"),
    at_least("assembled-heat-time", Dimension::Time, "time of heat on the assembled machine"),
    at_most("cleaning-interval", Dimension::Time, "time between cleanings"),
    at_most("sink-interval", Dimension::Time, "time between cleanings of the sink"),
    at_most("apart-interval", Dimension::Time, "time between takings apart"),
    at_least("heat-cycle-temperature", Dimension::Temperature, "temperature of the heat-treatment"),
    at_least("heat-cycle-hold", Dimension::Time, "consecutive time at the heat-treatment temperature"),
    at_most("heat-cycle-interval", Dimension::Time, "time between heat-treatments"),
    at_most("heat-up", Dimension::Time, "heat-up time of the heat-treatment"),
    at_most("cool-down", Dimension::Time, "cool-down time of the heat-treatment"),
    at_most("hopper-temperature", Dimension::Temperature, "temperature of the hopper"),
    at_most("cold-hold", Dimension::Temperature, "temperature of cold food"),
    at_least("cold-hold-least", Dimension::Temperature, "least temperature of stored mix"),
    at_least("hot-hold", Dimension::Temperature, "temperature of hot food"),
    at_most("thaw-temperature", Dimension::Temperature, "temperature for thawing"),
    at_least("thaw-temperature-least", Dimension::Temperature, "least temperature for thawing"),
    at_most("serving-temperature", Dimension::Temperature, "temperature of the frozen product"),
    at_most(
        "date-mark",
        Dimension::Time,
        "days that food is kept, the day of preparation or opening counted",
    ),
    at_most("time-control", Dimension::Time, "time out of temperature control"),
    at_most("time-control-start", Dimension::Temperature, "temperature when food leaves control"),
    at_most("rerun-age", Dimension::Time, "time that drawn-off product is kept"),
    at_least("hand-wash", Dimension::Time, "whole time of a hand wash"),
    at_least("hand-rub", Dimension::Time, "time of rubbing hands with soap"),
    at_least("shelf-height", Dimension::Length, "height of the shelf above the floor"),
    at_most("lubricant-mineral-oil", Dimension::Share, "mineral oil that a lubricant adds to food"),
    at_most("lubricant-silicone", Dimension::Share, "dimethylpolysiloxane that a lubricant adds to food"),
    at_least("weight", Dimension::Density, "weight of the frozen product in its volume"),
    at_least("solids-weight", Dimension::Density, "weight of solids in the volume of the frozen product"),
    at_least("milkfat", Dimension::Share, "share of milk fat"),
    at_least("solids", Dimension::Share, "share of total solids"),
];

/// What is done or not done, with what it means.
pub const PRACTICES: &[(&str, &str)] = &[
    ("apart-after-use", "the machine is rinsed and taken apart after each day's use"),
    ("clean-before-close", "parts are washed, rinsed and sanitised before the working day closes"),
    ("sanitise-before-use", "the machine is sanitised before use each day"),
    ("sanitise-assembled", "the machine is sanitised assembled, immediately before use"),
    ("open-when-idle", "the machine is left apart, or partly, with air, when it is not in use"),
    ("air-dry", "parts dry in the air, never with a cloth"),
    ("lock-out", "the machine locks when a heat-treatment fails or taking apart is overdue"),
    (
        "cycle-display",
        "the machine shows time since the last cycle, time above its temperature and cycles since strip",
    ),
    ("date-marked", "food that is kept is marked with its date"),
    ("time-marked", "food out of control is marked with the time when it must go"),
    ("keep-earliest-date", "food that is combined keeps the earliest date"),
    ("rerun", "product that was drawn off is used again"),
    ("discard-rerun-daily", "product that is left in the machine is discarded every day"),
    ("sample-each-head", "each barrel or head is sampled, and the centre twist"),
    ("reheat-above-limit", "product that was above its limit is heat-treated again"),
    ("prepare-ahead", "mix is reconstituted ahead, outside the machine"),
    ("strip-or-kit", "strength is measured with a test kit"),
    ("seals-intact", "seals are intact, tight and adjusted as the maker says"),
    ("hands-before-clean-parts", "hands are washed before clean equipment is handled"),
    ("wash-rinse-sanitise", "parts are washed, then rinsed, then sanitised"),
    ("three-compartments", "there are three compartments, large enough for the largest part"),
    ("lubricant-minimum", "no more lubricant is used than is needed"),
];

/// Circumstances that a rule can depend on, each with the words that it may take.
pub const KEYS: &[(&str, &[&str])] = &[
    ("agent", &["chlorine", "iodine", "quat", "other"]),
    ("flavour", &["plain", "bulky"]),
    ("stage", &["mix", "product"]),
    ("machine", &["ordinary", "heat-treatment"]),
    ("food", &["cooked", "ambient", "mix", "reconstituted"]),
    ("rinse", &["none", "after"]),
];

/// The subject of this name.
pub fn subject_named(name: &str) -> Option<&'static Subject> {
    SUBJECTS.iter().find(|subject| subject.name == name)
}
