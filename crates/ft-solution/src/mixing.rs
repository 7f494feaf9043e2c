//! What must never meet: a table of pairs, each with what comes of it.

/// A kind of chemical or what is left of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Chemical {
    /// Anything that gives free chlorine: bleach, chlorinated cleaner, chlorine sanitiser.
    Chlorine,
    /// Acid: de-limer, milkstone remover, acid rinse, acid sanitiser.
    Acid,
    /// Ammonia, or a cleaner that contains it.
    Ammonia,
    /// Quaternary ammonium sanitiser.
    Quat,
    /// Detergent, or what a rinse leaves of it.
    Detergent,
    /// Iodophor.
    Iodine,
    /// Peroxyacetic acid or peroxide.
    Peroxide,
    /// Food soil: milk, fat, sugar.
    Soil,
}

impl Chemical {
    /// Every kind with its name in files and on the command line.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Chlorine, "chlorine"),
        (Self::Acid, "acid"),
        (Self::Ammonia, "ammonia"),
        (Self::Quat, "quat"),
        (Self::Detergent, "detergent"),
        (Self::Iodine, "iodine"),
        (Self::Peroxide, "peroxide"),
        (Self::Soil, "soil"),
    ];

    /// The kind of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| *known == name).map(|(kind, _)| *kind)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(kind, _)| *kind == self).map_or("", |(_, name)| name)
    }
}

/// Two that must not meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clash {
    /// One of them.
    pub one: Chemical,
    /// The other.
    pub other: Chemical,
    /// Whether people are in danger; otherwise the solution is spoiled.
    pub harms_people: bool,
    /// What comes of it.
    pub comes: &'static str,
    /// Where we have it from.
    pub source: &'static str,
}

/// Every pair that we know of; a pair that is missing is not thereby safe.
pub const NEVER_MEET: &[Clash] = &[
    Clash {
        one: Chemical::Chlorine,
        other: Chemical::Acid,
        harms_people: true,
        comes: "chlorine gas",
        source: "a state health department's warning, as quoted (read)",
    },
    Clash {
        one: Chemical::Chlorine,
        other: Chemical::Ammonia,
        harms_people: true,
        comes: "chloramine vapours",
        source: "a state health department's warning, as quoted (read)",
    },
    Clash {
        one: Chemical::Chlorine,
        other: Chemical::Quat,
        harms_people: true,
        comes: "both lose their effect; chloramines and heat are possible",
        source: "common practice, from memory",
    },
    Clash {
        one: Chemical::Chlorine,
        other: Chemical::Peroxide,
        harms_people: true,
        comes: "a violent release of gas; with peroxyacetic acid also chlorine gas",
        source: "common practice, from memory",
    },
    Clash {
        one: Chemical::Quat,
        other: Chemical::Detergent,
        harms_people: false,
        comes: "soap and most detergents bind the quat: rinse first",
        source: "common practice, from memory",
    },
    Clash {
        one: Chemical::Chlorine,
        other: Chemical::Soil,
        harms_people: false,
        comes: "soil uses the chlorine up: wash and rinse first",
        source: "common practice, from memory",
    },
    Clash {
        one: Chemical::Iodine,
        other: Chemical::Detergent,
        harms_people: false,
        comes: "alkaline residue raises the pH above the 5.0 that iodine needs: rinse first",
        source: "follows from the pH limit of Food Code 4-501.114(B)",
    },
];

/// Whether two kinds clash, in either order.
pub fn clash(one: Chemical, other: Chemical) -> Option<&'static Clash> {
    NEVER_MEET
        .iter()
        .find(|clash| (clash.one, clash.other) == (one, other) || (clash.one, clash.other) == (other, one))
}

/// Every clash of one kind, in the order of the table.
pub fn clashes(chemical: Chemical) -> impl Iterator<Item = &'static Clash> {
    NEVER_MEET.iter().filter(move |clash| clash.one == chemical || clash.other == chemical)
}
