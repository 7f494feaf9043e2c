//! The sets that come with Fulltray: one file each, in the folder `rules` at the root.

use std::sync::LazyLock;

use crate::model::RuleSet;

/// A file of a set that comes with Fulltray.
#[derive(Debug, Clone, Copy)]
pub struct Shipped {
    /// Name of the file.
    pub file: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! files {
    ($($file:literal),* $(,)?) => {
        &[$(Shipped { file: $file, text: include_str!(concat!("../../../rules/", $file)) }),*]
    };
}

/// Every file, by name. A test finds a file that was forgotten here.
pub const SHIPPED: &[Shipped] = files![
    "canada.rules.kdl",
    "eu-2073-2005.rules.kdl",
    "hong-kong.rules.kdl",
    "new-zealand.rules.kdl",
    "uk-1995.rules.kdl",
    "uk-council-2015.rules.kdl",
    "us-american-samoa.rules.kdl",
    "us-arizona.rules.kdl",
    "us-california.rules.kdl",
    "us-connecticut.from-2023-03-08.rules.kdl",
    "us-connecticut.until-2023-03-07.rules.kdl",
    "us-federal.rules.kdl",
    "us-food-code.rules.kdl",
    "us-indiana.rules.kdl",
    "us-iowa.rules.kdl",
    "us-kansas.rules.kdl",
    "us-louisiana.rules.kdl",
    "us-maine.rules.kdl",
    "us-maryland.rules.kdl",
    "us-nevada.rules.kdl",
    "us-north-carolina.rules.kdl",
    "us-oregon-extension.rules.kdl",
    "us-pennsylvania.rules.kdl",
    "us-pmo.rules.kdl",
    "us-south-carolina.rules.kdl",
    "us-utah.rules.kdl",
    "us-vermont.rules.kdl",
    "us-washington.rules.kdl",
];

static SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    let read = |shipped: &Shipped| crate::read(shipped.text).set;
    SHIPPED.iter().filter_map(read).collect()
});

/// Every set that comes with Fulltray, in the order of their files. A place whose rules changed on a day has one
/// set for each period, under one name.
pub fn shipped() -> &'static [RuleSet] {
    &SETS
}

/// Every period of the sets of this name.
pub fn shipped_named(name: &str) -> impl Iterator<Item = &'static RuleSet> {
    shipped().iter().filter(move |set| set.name == name)
}
