//! Which name means what, and what to say when a name means nothing.

use std::collections::{BTreeMap, BTreeSet};

use ft_diag::{Problem, nearest};
use ft_machine::{Liquid, SideId, SideRef, Span, Subject, Target};

use super::read::Reader;
use crate::codes;
use crate::words::WORDS;

/// The kind of what every machine has without declaring it.
pub const ALWAYS_THERE: &str = "liquid";

fn plural(what: &str) -> String {
    match what {
        "person" => "people".to_owned(),
        "kit" => "kinds of kit".to_owned(),
        "switch" => "switches".to_owned(),
        other => format!("{other}s"),
    }
}

/// A name with its meaning, where it was declared, and what kind of thing it names.
type Declared<T> = (String, T, Span, String);

/// Names of one namespace, in order of their declaration, with where each was declared.
pub struct Names<T> {
    list: Vec<Declared<T>>,
    index: BTreeMap<String, usize>,
}

impl<T> Default for Names<T> {
    fn default() -> Self {
        Self { list: Vec::new(), index: BTreeMap::new() }
    }
}

impl<T: Copy> Names<T> {
    /// Adds a name; a name that is taken is reported and keeps its first meaning.
    pub fn add(&mut self, reader: &mut Reader, what: &str, name: &str, meaning: T, span: &Span) {
        if let Some(&first) = self.index.get(name) {
            reader.report(self.twice(first, what, name, span));
            return;
        }
        self.index.insert(name.to_owned(), self.list.len());
        self.list.push((name.to_owned(), meaning, span.clone(), what.to_owned()));
    }

    fn twice(&self, first: usize, what: &str, name: &str, span: &Span) -> Problem {
        let (_, _, other, kind) = &self.list[first];
        if kind == ALWAYS_THERE {
            return Problem::error(
                codes::TWICE,
                span.clone(),
                format!("`{name}` is known already: every machine has it"),
            )
            .with_remedy("take this line out, or give it another name");
        }
        // Kinds are read one after the other, so the first one read may stand below.
        let (earlier, later) = if other.start < span.start { (other, span) } else { (span, other) };
        let message = if kind == what {
            format!("there are two {} called `{name}`", plural(what))
        } else {
            format!("there is a {what} and a {kind} called `{name}`")
        };
        Problem::error(codes::TWICE, later.clone(), message)
            .with_remedy("give one of them another name")
            .with_also(earlier.clone(), "the first one is here")
    }

    /// What a name means.
    pub fn get(&self, name: &str) -> Option<T> {
        self.index.get(name).map(|at| self.list[*at].1)
    }

    /// All names in order.
    pub fn all(&self) -> impl Iterator<Item = &str> {
        self.list.iter().map(|(name, ..)| name.as_str())
    }

    /// What a name means; reported where it means nothing.
    pub fn find(&self, reader: &mut Reader, what: &str, name: &str, span: &Span) -> Option<T> {
        let found = self.get(name);
        if found.is_none() {
            reader.report_with(span, || unknown(what, name, span, self.all()));
        }
        found
    }
}

/// The problem that a name means nothing.
pub fn unknown<'a>(what: &str, name: &str, span: &Span, known: impl Iterator<Item = &'a str>) -> Problem {
    let known: Vec<&str> = known.collect();
    let problem =
        Problem::error(codes::UNKNOWN_NAME, span.clone(), format!("there is no {what} called `{name}`"));
    if let Some(near) = nearest(name, known.iter().copied()) {
        return problem.with_remedy(format!("did you mean `{near}`?"));
    }
    match known.as_slice() {
        [] if WORDS.iter().any(|word| word.name == what) => problem
            .with_remedy(format!("no {what} is declared in this file: declare it with `{what} \"{name}\"`")),
        [] => problem.with_remedy(format!("no {what} is declared in this file")),
        [only] => problem.with_remedy(format!("there is only `{only}`")),
        known if known.len() <= 12 => {
            let list: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
            problem.with_remedy(format!("there are: {}", list.join(", ")))
        }
        _ => problem.with_remedy(format!("declare it, or use the name of a {what} that is declared")),
    }
}

/// Every namespace of a machine file.
#[derive(Default)]
pub struct Scope {
    /// Switches, vessels, valves, lines, parts and facts share one.
    pub items: Names<Subject>,
    /// Which items exist once on each side.
    pub per_side: BTreeMap<Subject, bool>,
    /// Which items are kit: in an `each-side` step the kit that this side holds is meant.
    pub kit: BTreeSet<Subject>,
    /// Sides.
    pub sides: Names<SideId>,
    /// Options.
    pub options: Names<usize>,
    /// Places.
    pub places: Names<usize>,
    /// Products and solutions, with water.
    pub liquids: Names<Liquid>,
    /// Solutions.
    pub solutions: Names<usize>,
    /// Sinks.
    pub sinks: Names<usize>,
}

impl Scope {
    /// What an item's name means; reported where it means nothing, with the names of what belongs there.
    pub fn item(&self, reader: &mut Reader, what: &str, name: &str, span: &Span) -> Option<Subject> {
        let found = self.items.get(name);
        if found.is_none() {
            reader.report(unknown(what, name, span, self.items_of(what)));
        }
        found
    }

    /// The names of items of a kind, or of several: `vessel`, `vessel or line`, `kit`; any other word means all.
    fn items_of<'a>(&'a self, what: &str) -> impl Iterator<Item = &'a str> {
        let kinds: Vec<&str> = KINDS.into_iter().filter(|kind| what.contains(kind)).collect();
        let only_kit = what == "kit";
        self.items.list.iter().filter_map(move |(name, subject, ..)| {
            let fits = if only_kit {
                self.kit.contains(subject)
            } else {
                kinds.is_empty() || kinds.contains(&kind(*subject))
            };
            fits.then_some(name.as_str())
        })
    }

    /// The problem that an item is of another kind than a word takes.
    pub fn wrong_kind(&self, name: &str, subject: Subject, takes: &str, span: &Span) -> Problem {
        let fitting: Vec<String> = self.items_of(takes).map(|name| format!("`{name}`")).collect();
        let remedy = match fitting.as_slice() {
            [] => format!("declare a {takes} first: there is none"),
            [only] => format!("there is only {only}"),
            some if some.len() <= 12 => format!("there are: {}", some.join(", ")),
            _ => format!("write the name of a {takes}"),
        };
        Problem::error(
            codes::WRONG_KIND,
            span.clone(),
            format!("`{name}` is a {}, and a {takes} belongs here", kind(subject)),
        )
        .with_remedy(remedy)
    }

    /// An item by its name, which may name a side after a dot; `side` is the `side=` property, if there is one.
    pub fn target(
        &self,
        reader: &mut Reader,
        what: &str,
        text: (&str, &Span),
        side: Option<(&str, &Span)>,
        each_side: bool,
    ) -> Option<Target> {
        let (written, span) = text;
        let (name, dotted) = match written.split_once('.') {
            Some((name, side)) => (name, Some((side, span))),
            None => (written, None),
        };
        let subject = self.item(reader, what, name, span)?;
        let named_side = side.or(dotted);
        if !self.per_side.get(&subject).copied().unwrap_or(false) {
            if let Some((side, span)) = named_side {
                reader.report(
                    Problem::error(
                        codes::WHICH_SIDE,
                        span.clone(),
                        format!("`{name}` exists once, not on the side `{side}`"),
                    )
                    .with_remedy("leave the side out, or declare it with `per=\"side\"`"),
                );
            }
            let held = each_side && self.kit.contains(&subject);
            return Some(Target { subject, side: if held { SideRef::This } else { SideRef::Shared } });
        }
        let side = match named_side {
            Some((side, span)) => SideRef::Of(self.side(reader, side, span)?),
            None if each_side => SideRef::This,
            None => {
                let first = self.sides.all().next().unwrap_or("left").to_owned();
                reader.report(
                    Problem::error(
                        codes::WHICH_SIDE,
                        span.clone(),
                        format!("`{name}` exists on each side: which one is meant?"),
                    )
                    .with_remedy(format!("write `{name}.{first}`, or make the step `each-side`")),
                );
                return None;
            }
        };
        Some(Target { subject, side })
    }

    fn side(&self, reader: &mut Reader, side: &str, span: &Span) -> Option<SideId> {
        let found = self.sides.get(side);
        if found.is_none() {
            let known: Vec<&str> = self.sides.all().collect();
            let list: Vec<String> = known.iter().map(|side| format!("`{side}`")).collect();
            let remedy = match nearest(side, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => "declare sides with `side \"left\"` and so on".to_owned(),
                None => format!("there are: {}", list.join(", ")),
            };
            reader.report(
                Problem::error(
                    codes::UNKNOWN_SIDE,
                    span.clone(),
                    format!("the machine has no side `{side}`"),
                )
                .with_remedy(remedy),
            );
        }
        found
    }

    /// A liquid by its name.
    pub fn liquid(&self, reader: &mut Reader, text: (&str, &Span)) -> Option<Liquid> {
        self.liquids.find(reader, "product or solution", text.0, text.1)
    }
}

const KINDS: [&str; 6] = ["switch", "vessel", "valve", "line", "part", "fact"];

/// What a subject is, for a sentence.
pub fn kind(subject: Subject) -> &'static str {
    match subject {
        Subject::Switch(_) => "switch",
        Subject::Vessel(_) => "vessel",
        Subject::Valve(_) => "valve",
        Subject::Line(_) => "line",
        Subject::Part(_) => "part",
        Subject::Fact(_) => "fact",
    }
}
