//! Reads the statements of a step.

use ft_diag::Problem;
use ft_machine::{Finding, Liquid, Machine, Statement, Subject, Target, Wait};
use ft_syntax::Node;
use ft_units::{Time, TimeUnit, Volume};

use super::machine::over_capacity;
use super::names::{Scope, kind, unknown};
use super::procedure::{condition, named, not_kit};
use super::read::{Reader, has_flag, quantity, text};
use crate::codes;

/// What is needed to read a step's statements.
pub struct Statements<'a> {
    /// Problems go here.
    pub reader: &'a mut Reader,
    /// The machine, read already.
    pub machine: &'a Machine,
    /// Its names.
    pub scope: &'a Scope,
    /// Whether a bare name means this side's item.
    pub each_side: bool,
}

impl Statements<'_> {
    /// The statements among the children of a step or of an answer.
    pub fn all(&mut self, nodes: &[Node]) -> Vec<Statement> {
        let mut list = Vec::new();
        for node in nodes {
            self.one(node, &mut list);
        }
        list
    }

    fn one(&mut self, node: &Node, list: &mut Vec<Statement>) {
        let several = |make: fn(Target) -> Statement, targets: Vec<Target>| {
            targets.into_iter().map(make).collect::<Vec<_>>()
        };
        match node.name.text.as_str() {
            "switch" => list.extend(self.switch(node)),
            "open" => list.extend(several(Statement::Open, self.targets(node, is_valve, "valve"))),
            "shut" => list.extend(several(Statement::Shut, self.targets(node, is_valve, "valve"))),
            "connect" => list.extend(self.line(node, Statement::Connect)),
            "disconnect" => list.extend(self.line(node, Statement::Disconnect)),
            "take-off" => list.extend(several(Statement::TakeOff, self.targets(node, is_part, "part"))),
            "fit" => list.extend(several(Statement::Fit, self.targets(node, is_part, "part"))),
            "take-apart" => list.extend(several(Statement::TakeApart, self.targets(node, is_part, "part"))),
            "put-together" => {
                list.extend(several(Statement::PutTogether, self.targets(node, is_part, "part")));
            }
            "fill" => list.extend(self.fill(node)),
            "pour" => list.extend(self.pour(node)),
            "empty" => list.extend(self.empty(node)),
            "vent" => list.extend(several(Statement::Vent, self.targets(node, holds, "vessel or line"))),
            "charge" => list.extend(several(Statement::Charge, self.targets(node, holds, "vessel or line"))),
            "take" => list.extend(self.kit(node).into_iter().map(Statement::Take)),
            "give-back" => list.extend(self.kit(node).into_iter().map(Statement::GiveBack)),
            "hang" => {
                let at = self.reader.sentence(node, "at", "this place");
                list.extend(self.kit(node).into_iter().map(|target| Statement::Hang(target, at.clone())));
            }
            "lift" => list.extend(self.kit(node).into_iter().map(Statement::Lift)),
            "run" => self.run(node, list),
            "scrub" => list.extend(self.scrub(node)),
            "flush" => list.extend(self.flush(node)),
            "stand" => list.extend(self.stand(node)),
            "inspect" => {
                let what = self.reader.sentence(node, "for", "what to look for");
                let targets = self.targets(node, is_part, "part");
                list.extend(targets.into_iter().map(|target| Statement::Inspect(target, what.clone())));
            }
            "lubricate" => list.extend(several(Statement::Lubricate, self.targets(node, is_part, "part"))),
            "replace" => list.extend(several(Statement::Replace, self.targets(node, is_part, "part"))),
            "missing" => list.extend(several(Statement::Missing, self.targets(node, is_part, "part"))),
            "already-off" => list.extend(several(Statement::AlreadyOff, self.targets(node, is_part, "part"))),
            "measure" => list.extend(self.measure(node)),
            "look" => list.push(self.look(node)),
            "store" => {
                let place = self.reader.sentence(node, "in", "this place");
                let targets = self.targets(node, is_vessel, "vessel");
                list.extend(targets.into_iter().map(|target| Statement::Store(target, place.clone())));
            }
            "discard" => {
                let because = self.reader.sentence(node, "because", "this reason");
                let targets = self.targets(node, is_vessel, "vessel");
                list.extend(targets.into_iter().map(|target| Statement::Discard(target, because.clone())));
            }
            "wait" => list.push(self.wait(node)),
            "needs" => {
                let each_side = self.each_side;
                list.extend(
                    condition(self.reader, self.machine, self.scope, node, each_side).map(Statement::Needs),
                );
            }
            "set" => list.extend(self.set(node)),
            "wash" => {
                let sink = text(node, "in")
                    .and_then(|(name, span)| self.scope.sinks.find(self.reader, "sink", name, span));
                let targets = self.targets(node, is_part, "part");
                if !targets.is_empty() {
                    list.push(Statement::Wash(targets, sink));
                }
            }
            _ => {}
        }
    }

    fn language(&self) -> String {
        self.reader.languages.first().cloned().unwrap_or_else(|| "en".into())
    }

    /// The items that a node's arguments name, all of one kind.
    fn targets(&mut self, node: &Node, fits: fn(Subject) -> bool, what: &str) -> Vec<Target> {
        let side = text(node, "side");
        // What stands after the last name is a flag, or reported already as a value too many.
        let names = super::read::find(&node.name.text, "step")
            .filter(|word| !word.repeats)
            .map_or(usize::MAX, |word| word.arguments.len());
        node.arguments
            .iter()
            .take(names)
            .filter_map(|entry| {
                let said = (entry.as_text()?, &entry.span);
                let target = self.scope.target(self.reader, what, said, side, self.each_side)?;
                if fits(target.subject) {
                    Some(target)
                } else {
                    self.reader.report(self.scope.wrong_kind(said.0, target.subject, what, said.1));
                    None
                }
            })
            .collect()
    }

    fn target(&mut self, node: &Node, fits: fn(Subject) -> bool, what: &str) -> Option<Target> {
        self.targets(node, fits, what).into_iter().next()
    }

    fn target_in(
        &mut self,
        node: &Node,
        property: &str,
        fits: fn(Subject) -> bool,
        what: &str,
    ) -> Option<Target> {
        let said = text(node, property)?;
        let target = self.scope.target(self.reader, what, said, text(node, "side"), self.each_side)?;
        if fits(target.subject) {
            return Some(target);
        }
        self.reader.report(self.scope.wrong_kind(said.0, target.subject, what, said.1));
        None
    }

    fn kit(&mut self, node: &Node) -> Vec<Target> {
        let side = if self.each_side { ft_machine::SideRef::This } else { ft_machine::SideRef::Shared };
        node.arguments
            .iter()
            .filter_map(|entry| {
                let name = entry.as_text()?;
                let subject = self.scope.item(self.reader, "kit", name, &entry.span)?;
                if self.is_kit(subject) {
                    Some(Target { subject, side })
                } else {
                    self.reader.report(not_kit(name, &entry.span));
                    None
                }
            })
            .collect()
    }

    fn is_kit(&self, subject: Subject) -> bool {
        matches!(subject, Subject::Vessel(id) if self.machine.vessels[id].kit)
    }

    fn switch(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, is_switch, "switch")?;
        let Subject::Switch(id) = target.subject else { return None };
        let position = self.position(id, text(node, "to")?)?;
        Some(Statement::Switch(target, position))
    }

    fn position(&mut self, switch: usize, said: (&str, &ft_machine::Span)) -> Option<usize> {
        let positions = &self.machine.switches[switch].positions;
        let found = positions.iter().position(|position| position.name == said.0);
        if found.is_none() {
            self.reader.report_with(said.1, || {
                unknown("position", said.0, said.1, positions.iter().map(|position| position.name.as_str()))
            });
        }
        found
    }

    fn line(&mut self, node: &Node, make: fn(Target, usize) -> Statement) -> Option<Statement> {
        let target = self.target(node, is_line, "line")?;
        let Subject::Line(id) = target.subject else { return None };
        let (end, span) = text(node, "end")?;
        let ends = &self.machine.lines[id].ends;
        let found = ends.iter().position(|named| named.name == end);
        if found.is_none() {
            self.reader.report_with(span, || {
                unknown("end of this line", end, span, ends.iter().map(|named| named.name.as_str()))
            });
        }
        Some(make(target, found?))
    }

    fn fill(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, is_vessel, "vessel");
        let liquid = self.liquid(node, "with");
        let target = target?;
        let amount: Option<Volume> = quantity(node, "amount");
        if let (Some(amount), Some(entry), Subject::Vessel(id)) =
            (amount, node.property("amount"), target.subject)
        {
            let vessel = &self.machine.vessels[id];
            over_capacity(self.reader, amount, vessel.capacity, &vessel.named.name, &entry.span);
        }
        Some(Statement::Fill(target, liquid?, amount))
    }

    fn liquid(&mut self, node: &Node, property: &str) -> Option<Liquid> {
        let said = text(node, property)?;
        self.scope.liquid(self.reader, said)
    }

    fn pour(&mut self, node: &Node) -> Option<Statement> {
        let from = self.target(node, is_vessel, "vessel");
        let into = self.target_in(node, "into", is_vessel, "vessel");
        Some(Statement::Pour(from?, Some(into?), quantity(node, "amount")))
    }

    fn empty(&mut self, node: &Node) -> Option<Statement> {
        let from = self.target(node, holds, "vessel");
        let into = match node.property("into") {
            Some(_) => Some(self.target_in(node, "into", is_vessel, "vessel")?),
            None => None,
        };
        Some(Statement::Pour(from?, into, None))
    }

    fn run(&mut self, node: &Node, list: &mut Vec<Statement>) {
        let Some(target) = self.target(node, is_switch, "switch") else { return };
        let Subject::Switch(id) = target.subject else { return };
        let Some(position) = text(node, "at").and_then(|said| self.position(id, said)) else { return };
        let wait = self.pause(node, "for");
        list.push(Statement::Switch(target, position));
        list.push(Statement::Wait(wait));
        list.push(Statement::Switch(target, self.machine.switches[id].safe));
    }

    fn pause(&mut self, node: &Node, property: &str) -> Wait {
        let seconds = |value| Time::new(value, TimeUnit::Second);
        let mut until = self.reader.words(node, "until", None);
        if let Some((said, _)) = text(node, "until") {
            until.insert(self.language(), said.to_owned());
        }
        if !until.is_empty() {
            self.reader.complete(&until, "what is waited for", &node.span);
        }
        Wait {
            time: quantity(node, property).or(quantity(node, "about")).unwrap_or(seconds(60.0)),
            is_about: node.property(property).is_none() && node.property("about").is_some(),
            until,
            unattended: has_flag(node, "unattended"),
            then: quantity(node, "then").unwrap_or(seconds(10.0)),
        }
    }

    fn wait(&mut self, node: &Node) -> Statement {
        if node.property("for").is_none() && node.property("about").is_none() {
            self.reader.report(
                Problem::error(
                    codes::MISSING_PROPERTY,
                    node.name.span.clone(),
                    "this `wait` does not say how long",
                )
                .with_remedy("write `for=\"3 min\"`, or `until=\"…\" about=\"90 s\"`"),
            );
        }
        Statement::Wait(self.pause(node, "for"))
    }

    fn scrub(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, |subject| is_part(subject) || holds(subject), "vessel, line or part");
        let solution = text(node, "using")
            .and_then(|(name, span)| self.scope.solutions.find(self.reader, "solution", name, span));
        Some(Statement::Scrub(target?, text(node, "with").map(|(brush, _)| brush.to_owned()), solution))
    }

    fn flush(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, holds, "vessel or line");
        let liquid = self.liquid(node, "with");
        Some(Statement::Flush(target?, liquid?))
    }

    fn stand(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, holds, "vessel or line");
        let wait = self.pause(node, "for");
        Some(Statement::Stand(target?, wait))
    }

    fn measure(&mut self, node: &Node) -> Option<Statement> {
        let what = self.reader.words(node, "label", Some(0));
        self.reader.complete(&what, "this reading", &node.span);
        let (within, span) = text(node, "within")?;
        Some(Statement::Measure { what, within: within.to_owned(), span: span.clone() })
    }

    fn set(&mut self, node: &Node) -> Option<Statement> {
        let target = self.target(node, |subject| matches!(subject, Subject::Fact(_)), "fact")?;
        let Subject::Fact(id) = target.subject else { return None };
        let (value, span) = text(node, "to")?;
        let values = &self.machine.facts[id].values;
        let found = values.iter().position(|named| named.name == value);
        if found.is_none() {
            self.reader.report_with(span, || {
                unknown("value", value, span, values.iter().map(|named| named.name.as_str()))
            });
        }
        Some(Statement::Set(target, found?))
    }

    fn look(&mut self, node: &Node) -> Statement {
        let question = self.reader.words(node, "ask", Some(0));
        self.reader.complete(&question, "this question", &node.span);
        let findings: Vec<Finding> = node
            .children()
            .iter()
            .filter(|child| child.name.text == "finds")
            .map(|child| {
                let named = named(self.reader, self.scope, child, true);
                let say = self.reader.words(child, "say", None);
                if !say.is_empty() {
                    self.reader.complete(&say, "this answer", &child.span);
                }
                Finding { named, statements: self.all(child.children()), say }
            })
            .collect();
        if findings.len() < 2 {
            self.reader.report(
                Problem::error(
                    codes::ARGUMENTS,
                    node.name.span.clone(),
                    "this `look` has fewer than two answers",
                )
                .with_remedy(
                    "write each as `finds \"…\" { … }`; with one answer there is nothing to look for",
                ),
            );
        }
        for (at, finding) in findings.iter().enumerate() {
            if let Some(first) = findings[..at].iter().find(|other| other.named.name == finding.named.name) {
                self.reader.report(
                    Problem::error(
                        codes::TWICE,
                        finding.named.span.clone(),
                        format!("there are two answers called `{}`", finding.named.name),
                    )
                    .with_remedy("give one of them another name")
                    .with_also(first.named.span.clone(), "the first one is here"),
                );
            }
        }
        Statement::Look(question, findings)
    }
}

fn is_part(subject: Subject) -> bool {
    kind(subject) == "part"
}

fn is_vessel(subject: Subject) -> bool {
    kind(subject) == "vessel"
}

fn is_valve(subject: Subject) -> bool {
    kind(subject) == "valve"
}

fn is_line(subject: Subject) -> bool {
    kind(subject) == "line"
}

fn is_switch(subject: Subject) -> bool {
    kind(subject) == "switch"
}

fn holds(subject: Subject) -> bool {
    is_vessel(subject) || is_line(subject)
}
