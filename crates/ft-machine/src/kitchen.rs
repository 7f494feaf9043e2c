//! A kitchen: what stands in it, who works in it, and when.

use ft_units::Time;

use crate::machine::{Named, PlaceId, Walk, Words};

/// A kitchen and tonight's crew.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kitchen {
    /// Its name.
    pub named: Named,
    /// What people call it.
    pub title: Words,
    /// Languages in which its crew reads.
    pub languages: Vec<String>,
    /// Skills that people can have.
    pub skills: Vec<Named>,
    /// Where people stand.
    pub places: Vec<Named>,
    /// Ways between places.
    pub walks: Vec<Walk>,
    /// Tonight's crew.
    pub people: Vec<Person>,
    /// Machines.
    pub machines: Vec<Installed>,
    /// Kit that there is, by the name that machine files use.
    pub kit: Vec<(Named, u32)>,
    /// Sinks that there are: how many loads each can have under way, and where.
    pub sinks: Vec<(Named, u32, Option<PlaceId>)>,
    /// Tonight's hours.
    pub hours: Option<Hours>,
}

/// Somebody of the crew.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// Their name.
    pub named: Named,
    /// Skills, by index.
    pub skills: Vec<usize>,
    /// Here from, minutes after midnight of the closing's day.
    pub from_min: Option<u32>,
    /// Here until, likewise; may be past midnight, then more than 1440.
    pub until_min: Option<u32>,
    /// How long steps take them: 1 is usual.
    pub pace: f64,
    /// Whether they are here tonight.
    pub here: bool,
    /// The language that they read.
    pub language: Option<String>,
}

/// A machine in a kitchen.
#[derive(Debug, Clone, PartialEq)]
pub struct Installed {
    /// What this kitchen calls it.
    pub named: Named,
    /// Its machine file, beside the kitchen's.
    pub file: String,
    /// Options that are fitted, by name.
    pub fitted: Vec<String>,
    /// Where it stands.
    pub place: Option<PlaceId>,
}

/// Tonight's hours, in minutes after midnight; past midnight more than 1440.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hours {
    /// When work may begin.
    pub from_min: u32,
    /// When everybody must be out.
    pub out_by_min: Option<u32>,
    /// The day of the week, Monday = 0.
    pub day: Option<u8>,
}

/// The shortest time between two places over the given ways; `None` where no way leads.
pub fn shortest(walks: &[Walk], places: usize, from: PlaceId, to: PlaceId) -> Option<Time> {
    let mut best = vec![f64::INFINITY; places];
    *best.get_mut(from)? = 0.0;
    // Few places: relaxing every way as often as there are places is enough.
    for _ in 0..places {
        for walk in walks {
            let time = walk.time.in_unit(ft_units::TimeUnit::Second);
            for (a, b) in [(walk.from, walk.to), (walk.to, walk.from)] {
                if best[a] + time < best[b] {
                    best[b] = best[a] + time;
                }
            }
        }
    }
    best.get(to)
        .copied()
        .filter(|time| time.is_finite())
        .map(|time| Time::new(time, ft_units::TimeUnit::Second))
}
