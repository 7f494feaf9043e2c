//! The mirror image of a take-down: what came off last goes on first, seals and lubricant included.

use ft_machine::{Machine, Procedure, Statement, Step, Subject, Target};

use super::speak::{fill, frame, join, text, words};
use super::wash;

/// The steps that fit back what `closing` takes off, in reverse order, each titled `Fit: …`.
pub fn mirrored(machine: &Machine, closing: &Procedure) -> Vec<Step> {
    closing.steps.iter().rev().filter_map(|step| mirror_step(machine, step)).collect()
}

fn mirror_step(machine: &Machine, step: &Step) -> Option<Step> {
    let statements = mirror(machine, &step.statements);
    if statements.is_empty() {
        return None;
    }
    let mut mirrored = step.clone();
    mirrored.named.name = format!("Fit: {}", step.named.name);
    mirrored.named.label = words(&machine.languages, |language| {
        fill(frame(language, "Fit: {}", "Montar: {}"), &[text(&step.named, language)])
    });
    mirrored.say = words(&machine.languages, |language| {
        let names: Vec<String> =
            statements.iter().filter_map(|statement| spoken(machine, statement, language)).collect();
        fill(frame(language, "In this order: {}.", "En este orden: {}."), &[&join(language, &names)])
    });
    mirrored.statements = statements;
    mirrored.uses = Vec::new();
    mirrored.after = Vec::new();
    Some(mirrored)
}

fn mirror(machine: &Machine, statements: &[Statement]) -> Vec<Statement> {
    let mut back = Vec::new();
    for statement in statements.iter().rev() {
        match statement {
            Statement::TakeOff(target) => {
                back.extend(lubricate(machine, *target));
                back.push(Statement::Fit(*target));
            }
            Statement::TakeApart(target) => {
                if let Subject::Part(id) = target.subject {
                    for piece in wash::pieces(machine, id) {
                        back.extend(lubricate(machine, Target { subject: Subject::Part(piece), ..*target }));
                    }
                }
                back.push(Statement::PutTogether(*target));
            }
            Statement::Disconnect(target, end) => back.push(Statement::Connect(*target, *end)),
            // Wherever it was found at night, in the morning it lies in its slot and goes back on once.
            Statement::Look(_, findings) => {
                let longest =
                    findings.iter().map(|finding| mirror(machine, &finding.statements)).max_by_key(Vec::len);
                back.extend(longest.unwrap_or_default());
            }
            Statement::Only(option, inner) => {
                let inner = mirror(machine, inner);
                if !inner.is_empty() {
                    back.push(Statement::Only(*option, inner));
                }
            }
            _ => {}
        }
    }
    back
}

fn lubricate(machine: &Machine, target: Target) -> Option<Statement> {
    match target.subject {
        Subject::Part(id) if wash::needs_lubricant(&machine.parts[id]) => Some(Statement::Lubricate(target)),
        _ => None,
    }
}

fn spoken(machine: &Machine, statement: &Statement, language: &str) -> Option<String> {
    let (target, english, spanish) = match statement {
        Statement::Fit(target) => (target, "fit the {}", "montar {}"),
        Statement::PutTogether(target) => {
            (target, "put the {} together with its seals", "armar {} con sus sellos")
        }
        Statement::Connect(target, _) => (target, "connect the {}", "conectar {}"),
        Statement::Lubricate(target) => (target, "lubricate the {}", "lubricar {}"),
        _ => return None,
    };
    let named = match target.subject {
        Subject::Part(id) => &machine.parts[id].named,
        Subject::Line(id) => &machine.lines[id].named,
        _ => return None,
    };
    Some(fill(frame(language, english, spanish), &[text(named, language)]))
}
