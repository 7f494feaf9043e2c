//! Reads `kitchen { … }`.

use ft_diag::Problem;
use ft_machine::{Hours, Installed, Kitchen, Named, Person, Span};
use ft_syntax::Node;

use super::machine::walks;
use super::names::Names;
use super::procedure::day_number;
use super::read::{Reader, children, clock, count, first_text, has_flag, number, text};
use crate::codes;

/// Reads a kitchen. The node was checked against the table already.
pub fn kitchen(reader: &mut Reader, node: &Node) -> Kitchen {
    let mut kitchen = Kitchen { languages: reader.languages.clone(), ..Kitchen::default() };
    if let Some((name, span)) = first_text(node) {
        kitchen.named = Named { name: name.to_owned(), span: span.clone(), ..Named::default() };
    }
    kitchen.title = reader.words(node, "title", None);
    let mut skills: Names<usize> = Names::default();
    kitchen.skills = list(reader, node, "skill", &mut skills);
    let mut places: Names<usize> = Names::default();
    kitchen.places = list(reader, node, "place", &mut places);
    kitchen.walks = walks(reader, &places, node);
    let mut people: Names<usize> = Names::default();
    for child in children(node, "person") {
        let named = reader.named(child, false);
        people.add(reader, "person", &named.name, kitchen.people.len(), &named.span);
        kitchen.people.push(person(reader, &skills, child, named));
    }
    let mut machines: Names<usize> = Names::default();
    for child in children(node, "machine") {
        let named = reader.named(child, true);
        machines.add(reader, "machine", &named.name, kitchen.machines.len(), &named.span);
        let mut fitted: Vec<String> =
            text(child, "fitted").map(|(option, _)| option.to_owned()).into_iter().collect();
        for more in children(child, "fitted") {
            fitted.extend(more.arguments.iter().filter_map(|entry| entry.as_text().map(str::to_owned)));
        }
        let place = place(reader, &places, child);
        let file = text(child, "file").map(|(file, _)| file.to_owned()).unwrap_or_default();
        kitchen.machines.push(Installed { named, file, fitted, place });
    }
    let mut kit: Names<usize> = Names::default();
    for child in children(node, "kit") {
        let named = reader.named(child, true);
        kit.add(reader, "kit", &named.name, kitchen.kit.len(), &named.span);
        kitchen.kit.push((named, count(child, "count").unwrap_or(1)));
    }
    let mut sinks: Names<usize> = Names::default();
    for child in children(node, "sink") {
        let named = reader.named(child, true);
        sinks.add(reader, "sink", &named.name, kitchen.sinks.len(), &named.span);
        let place = place(reader, &places, child);
        kitchen.sinks.push((named, count(child, "count").unwrap_or(1), place));
    }
    kitchen.hours = children(node, "closing").next().and_then(|child| hours(reader, child));
    kitchen
}

fn list(reader: &mut Reader, node: &Node, child: &str, names: &mut Names<usize>) -> Vec<Named> {
    let mut list = Vec::new();
    for child_node in children(node, child) {
        let named = reader.named(child_node, true);
        names.add(reader, child, &named.name, list.len(), &named.span);
        list.push(named);
    }
    list
}

fn place(reader: &mut Reader, places: &Names<usize>, node: &Node) -> Option<usize> {
    let (name, span) = text(node, "at")?;
    places.find(reader, "place", name, span)
}

fn person(reader: &mut Reader, skills: &Names<usize>, node: &Node, named: Named) -> Person {
    let mut can = Vec::new();
    for child in children(node, "can") {
        for entry in &child.arguments {
            if let Some(name) = entry.as_text() {
                can.extend(skills.find(reader, "skill", name, &entry.span));
            }
        }
    }
    let time = |property| text(node, property).and_then(|(said, _)| clock(said));
    Person {
        named,
        skills: can,
        from_min: time("from"),
        until_min: time("until"),
        pace: number(node, "pace").unwrap_or(1.0),
        here: !has_flag(node, "away"),
        language: text(node, "language").map(|(language, _)| language.to_owned()),
    }
}

/// Hours past midnight count on from 1440.
fn hours(reader: &mut Reader, node: &Node) -> Option<Hours> {
    let from_min = clock(text(node, "from")?.0)?;
    let out_by_min = text(node, "out-by").and_then(|(said, _)| clock(said)).map(|out| after(out, from_min));
    if let (Some(out), Some(entry)) = (out_by_min, node.property("out-by")) {
        long_night(reader, from_min, out, &entry.span);
    }
    let day = text(node, "on").and_then(|(day, _)| day_number(day));
    Some(Hours { from_min, out_by_min, day })
}

/// A time of day as the first one at or after another.
pub fn after(clock_min: u32, from_min: u32) -> u32 {
    if clock_min < from_min { clock_min + 24 * 60 } else { clock_min }
}

fn long_night(reader: &mut Reader, from: u32, out: u32, span: &Span) {
    if out - from > 12 * 60 {
        reader.report(
            Problem::warning(codes::CLOCK, span.clone(), "this closing is longer than twelve hours")
                .with_remedy("check that `from` and `out-by` are written in the 24-hour day"),
        );
    }
}
