//! Reads `procedure { … }`: steps in order, hazards of the author's own, the goal.

use ft_diag::Problem;
use ft_machine::{
    CardOrder, Condition, Every, Machine, Named, Procedure, Serving, Span, Step, StepId, Subject, Test, Wish,
    Words,
};
use ft_syntax::Node;
use ft_units::{Time, TimeUnit};

use super::machine::cautions;
use super::names::{Names, Scope, unknown};
use super::read::{Reader, children, clock, count, find, first_text, has_flag, quantity, text};
use super::statements::Statements;
use crate::codes;
use crate::lower::mirrored;

/// Reads a procedure; `earlier` are those above it in the file, which it may mirror.
pub fn procedure(
    reader: &mut Reader,
    machine: &Machine,
    scope: &Scope,
    earlier: &[Procedure],
    node: &Node,
) -> Procedure {
    let named = named(reader, scope, node, false);
    let from = text(node, "from");
    let without: Vec<(String, Span)> = children(node, "without")
        .flat_map(|child| {
            child.arguments.iter().filter_map(|entry| Some((entry.as_text()?.to_owned(), entry.span.clone())))
        })
        .collect();
    let mut steps = from.map_or_else(Vec::new, |from| mirror(reader, machine, earlier, from, &without));
    let mut names: Names<StepId> = Names::default();
    for (id, step) in steps.iter().enumerate() {
        names.add(reader, "step", &step.named.name, id, &step.named.span);
    }
    let first_own = steps.len();
    let own: Vec<&Node> = children(node, "step").collect();
    for (offset, child) in own.iter().enumerate() {
        if let Some((name, span)) = first_text(child) {
            names.add(reader, "step", name, first_own + offset, span);
        }
    }
    for child in &own {
        let step = step(reader, machine, scope, &names, child);
        steps.push(step);
    }
    // Where it mirrors nothing that there is, that is reported already.
    if steps.is_empty() && own.is_empty() && from.is_none() {
        reader.report(
            Problem::warning(
                codes::NO_STEPS,
                named.span.clone(),
                format!("the procedure `{}` has no steps", named.name),
            )
            .with_remedy("write at least one `step`"),
        );
    }
    after_circles(reader, &mut steps);
    let never = children(node, "never").map(|child| wish(reader, machine, scope, child)).collect();
    let goal = children(node, "goal").flat_map(|child| conditions(reader, machine, scope, child)).collect();
    let order = if text(node, "order").is_some_and(|(order, _)| order == "free") {
        CardOrder::Free
    } else {
        CardOrder::Card
    };
    let serving = children(node, "serving").next().and_then(|child| {
        Some(Serving { until_min: clock(text(child, "until")?.0)?, sides: count(child, "sides")? })
    });
    let from = from.map(|(from, _)| from.to_owned());
    Procedure { named, order, from, without, steps, never, goal, serving }
}

/// What a step, an answer or a hazard has; `complete` warns where a label lacks a language.
pub fn named(reader: &mut Reader, scope: &Scope, node: &Node, complete: bool) -> Named {
    let only_with =
        text(node, "if").and_then(|(option, span)| scope.options.find(reader, "option", option, span));
    Named { only_with, ..reader.named(node, complete) }
}

fn mirror(
    reader: &mut Reader,
    machine: &Machine,
    earlier: &[Procedure],
    from: (&str, &Span),
    without: &[(String, Span)],
) -> Vec<Step> {
    let Some(closing) = earlier.iter().find(|procedure| procedure.named.name == from.0) else {
        reader.report_with(from.1, || {
            unknown("procedure above this one", from.0, from.1, earlier.iter().map(|p| p.named.name.as_str()))
        });
        return Vec::new();
    };
    let steps = mirrored(machine, closing);
    for (title, span) in without {
        if steps.iter().all(|step| step.named.name != *title) {
            reader.report_with(span, || {
                unknown("mirrored step", title, span, steps.iter().map(|step| step.named.name.as_str()))
            });
        }
    }
    steps.into_iter().filter(|step| without.iter().all(|(title, _)| *title != step.named.name)).collect()
}

fn step(reader: &mut Reader, machine: &Machine, scope: &Scope, names: &Names<StepId>, node: &Node) -> Step {
    let named = named(reader, scope, node, true);
    let each_side = has_flag(node, "each-side");
    if each_side && machine.sides.is_empty() {
        reader.report(
            Problem::error(
                codes::NO_SIDES,
                named.span.clone(),
                format!("the step `{}` is `each-side`, but the machine has no sides", named.name),
            )
            .with_remedy("declare them with `side \"left\"` and so on, or leave `each-side` out"),
        );
    }
    let say = reader.words(node, "say", None);
    if !say.is_empty() {
        let what = format!("what the step `{}` says", named.name);
        reader.complete(&say, &what, &named.span);
    }
    let statements = Statements { reader, machine, scope, each_side }.all(node.children());
    // A statement that could not be read, or stands in the wrong place, is reported already.
    let silent = node.children().iter().all(|child| ABOUT_A_STEP.contains(&child.name.text.as_str()))
        && node.properties.iter().all(|property| find(&property.name.text, "step").is_none());
    if silent && statements.is_empty() {
        reader.report(
            Problem::warning(
                codes::EMPTY_STEP,
                named.span.clone(),
                format!("nothing is said or done in the step `{}`", named.name),
            )
            .with_remedy("write what is done, or `say` what to look out for"),
        );
    }
    let place = text(node, "at").and_then(|(place, span)| scope.places.find(reader, "place", place, span));
    let uses = uses(reader, machine, scope, node);
    let after = after(reader, names, node);
    let every = node.property("every").is_some().then(|| {
        let day = text(node, "on").map_or("sunday", |(day, _)| day);
        Every::Week(day_number(day).unwrap_or(6))
    });
    Step {
        named,
        say,
        each_side,
        place,
        time: quantity(node, "time").unwrap_or(Time::new(30.0, TimeUnit::Second)),
        people: count(node, "people").unwrap_or(1),
        skill: text(node, "skill").map(|(skill, _)| skill.to_owned()),
        uses,
        after,
        every,
        cautions: cautions(reader, node),
        statements,
        photo: text(node, "photo").map(|(photo, _)| photo.to_owned()),
    }
}

/// What stands in a step's braces without anything being said or done.
const ABOUT_A_STEP: [&str; 4] = ["label", "caution", "uses", "after"];

/// The number of a day, Monday = 0.
pub fn day_number(day: &str) -> Option<u8> {
    let days = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    days.iter().position(|known| *known == day).map(|index| index as u8)
}

fn uses(reader: &mut Reader, machine: &Machine, scope: &Scope, node: &Node) -> Vec<usize> {
    let mut said: Vec<(&str, &Span)> = text(node, "uses").into_iter().collect();
    for child in children(node, "uses") {
        said.extend(child.arguments.iter().filter_map(|entry| Some((entry.as_text()?, &entry.span))));
    }
    said.into_iter()
        .filter_map(|(name, span)| match scope.item(reader, "kit", name, span)? {
            Subject::Vessel(id) if machine.vessels[id].kit => Some(id),
            _ => {
                reader.report(not_kit(name, span));
                None
            }
        })
        .collect()
}

/// The problem that something is not kit.
pub fn not_kit(name: &str, span: &Span) -> Problem {
    Problem::error(codes::NOT_KIT, span.clone(), format!("`{name}` is not kit"))
        .with_remedy("kit is a vessel with the flag `kit`: `vessel \"bucket\" kit count=3 capacity=\"10 L\"`")
}

fn after(reader: &mut Reader, names: &Names<StepId>, node: &Node) -> Vec<(StepId, Words)> {
    let mut list = Vec::new();
    for child in children(node, "after") {
        let Some((name, span)) = first_text(child) else { continue };
        let Some(step) = names.find(reader, "step", name, span) else { continue };
        let because = reader.sentence(child, "because", "this reason");
        list.push((step, because));
    }
    list
}

/// Reports steps that are after each other in a circle, and takes the last link of each circle out.
fn after_circles(reader: &mut Reader, steps: &mut [Step]) {
    for id in 0..steps.len() {
        let reaches = |from: StepId| {
            let mut seen = vec![false; steps.len()];
            let mut open = vec![from];
            while let Some(step) = open.pop() {
                if step == id {
                    return true;
                }
                if !std::mem::replace(&mut seen[step], true) {
                    open.extend(steps[step].after.iter().map(|(before, _)| *before));
                }
            }
            false
        };
        let circle: Vec<bool> = steps[id].after.iter().map(|(before, _)| reaches(*before)).collect();
        for (at, _) in circle.iter().enumerate().filter(|(_, circle)| **circle).rev() {
            let (before, _) = steps[id].after.remove(at);
            reader.report(
                Problem::error(
                    codes::AFTER_CIRCLE,
                    steps[id].named.span.clone(),
                    format!(
                        "`{}` is after itself, by way of `{}`",
                        steps[id].named.name, steps[before].named.name
                    ),
                )
                .with_remedy("take one `after` out of the circle"),
            );
        }
    }
}

fn wish(reader: &mut Reader, machine: &Machine, scope: &Scope, node: &Node) -> Wish {
    let named = named(reader, scope, node, true);
    Wish { named, when: conditions(reader, machine, scope, node) }
}

fn conditions(reader: &mut Reader, machine: &Machine, scope: &Scope, node: &Node) -> Vec<Condition> {
    node.children()
        .iter()
        .filter(|child| matches!(child.name.text.as_str(), "when" | "and"))
        .filter_map(|child| condition(reader, machine, scope, child, !machine.sides.is_empty()))
        .collect()
}

/// Reads a condition: `"door" is="off"`.
pub fn condition(
    reader: &mut Reader,
    machine: &Machine,
    scope: &Scope,
    node: &Node,
    each_side: bool,
) -> Option<Condition> {
    let said = first_text(node)?;
    let target = scope.target(reader, "item", said, text(node, "side"), each_side)?;
    let (value, span, is) = match (text(node, "is"), text(node, "is-not")) {
        (Some((value, span)), None) => (value, span, true),
        (None, Some((value, span))) => (value, span, false),
        _ => {
            reader.report(
                Problem::error(
                    codes::CONDITION,
                    node.span.clone(),
                    "a condition needs either `is` or `is-not`",
                )
                .with_remedy("write what must hold, such as `is=\"off\"`"),
            );
            return None;
        }
    };
    let (test, negate) = test(reader, machine, scope, target.subject, node, (value, span))?;
    Some(Condition { target, test, is: is != negate, span: node.span.clone() })
}

/// What a word asks of an item, and whether it asks the opposite.
fn test(
    reader: &mut Reader,
    machine: &Machine,
    scope: &Scope,
    subject: Subject,
    node: &Node,
    said: (&str, &Span),
) -> Option<(Test, bool)> {
    let (value, span) = said;
    let from_list = |reader: &mut Reader, list: &[Named], what: &str| {
        let found = list.iter().position(|named| named.name == value);
        if found.is_none() {
            reader.report_with(span, || {
                unknown(what, value, span, list.iter().map(|named| named.name.as_str()))
            });
        }
        found
    };
    let test = match subject {
        Subject::Switch(id) => {
            (Test::Position(from_list(reader, &machine.switches[id].positions, "position")?), false)
        }
        Subject::Fact(id) => (Test::Value(from_list(reader, &machine.facts[id].values, "value")?), false),
        Subject::Valve(_) if value == "open" => (Test::Open, false),
        Subject::Valve(_) if value == "shut" => (Test::Open, true),
        Subject::Part(_) if value == "on" || value == "fitted" => (Test::Fitted, false),
        Subject::Part(_) if value == "off" => (Test::Fitted, true),
        Subject::Part(_) | Subject::Vessel(_) | Subject::Line(_) if value == "sanitised" => {
            (Test::Sanitised, false)
        }
        Subject::Vessel(_) | Subject::Line(_) if value == "under pressure" => (Test::Pressure, false),
        Subject::Vessel(_) if value == "empty" => (Test::Empty, false),
        Subject::Vessel(_) if scope.liquids.get(value).is_some() => {
            (Test::Holds(scope.liquids.get(value)?), false)
        }
        Subject::Line(id) if value == "connected" || value == "off" => {
            let end = match text(node, "end") {
                Some((end, span)) => {
                    let ends = &machine.lines[id].ends;
                    let found = ends.iter().position(|named| named.name == end);
                    if found.is_none() {
                        reader.report_with(span, || {
                            unknown("end", end, span, ends.iter().map(|named| named.name.as_str()))
                        });
                    }
                    found?
                }
                None => 0,
            };
            (Test::Connected(end), value == "off")
        }
        _ => {
            let can = match subject {
                Subject::Valve(_) => "`open` or `shut`",
                Subject::Part(_) => "`on`, `off` or `sanitised`",
                Subject::Vessel(_) => "`empty`, `under pressure`, `sanitised` or the name of what it holds",
                Subject::Line(_) => "`connected`, `off`, `under pressure` or `sanitised`",
                Subject::Switch(_) | Subject::Fact(_) => "one of its own values",
            };
            reader.report(
                Problem::error(
                    codes::CONDITION,
                    span.clone(),
                    format!("a {} cannot be `{value}`", super::names::kind(subject)),
                )
                .with_remedy(format!("it can be {can}")),
            );
            return None;
        }
    };
    Some(test)
}
