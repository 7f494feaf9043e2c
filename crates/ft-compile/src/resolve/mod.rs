//! A tree to a machine, its procedures or a kitchen: every name, unit, side and amount resolved, all problems told.

pub mod kitchen;
pub mod machine;
pub mod names;
pub mod procedure;
pub mod read;
pub mod statements;

use ft_diag::Problem;
use ft_machine::{Kitchen, Machine, Procedure};
use ft_syntax::{Document, Node, Value};

use crate::codes;
use read::Reader;

/// What a file holds, as far as it could be read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct File {
    /// The machine, of a machine file.
    pub machine: Option<Machine>,
    /// Its procedures in order.
    pub procedures: Vec<Procedure>,
    /// The kitchen, of a kitchen file.
    pub kitchen: Option<Kitchen>,
}

/// Resolves a tree.
pub fn resolve(document: &Document) -> (File, Vec<Problem>) {
    let mut reader = Reader::new(languages(&document.nodes));
    version(&mut reader, &document.nodes);
    reader.check_all(&document.nodes, "file");
    let mut file = File::default();
    let of = |name: &str| document.nodes.iter().filter(|node| node.name.text == name).collect::<Vec<&Node>>();
    let (machines, kitchens) = (of("machine"), of("kitchen"));
    for extra in machines.iter().chain(&kitchens).skip(1) {
        reader.report(
            Problem::error(
                codes::ONE_MACHINE,
                extra.name.span.clone(),
                "a file holds one machine or one kitchen",
            )
            .with_remedy("move this one to a file of its own"),
        );
    }
    match (machines.first(), kitchens.first()) {
        (Some(node), _) => {
            let (machine, scope) = machine::machine(&mut reader, node);
            for node in of("procedure") {
                let procedure = procedure::procedure(&mut reader, &machine, &scope, &file.procedures, node);
                if let Some(first) =
                    file.procedures.iter().find(|other| other.named.name == procedure.named.name)
                {
                    reader.report(
                        Problem::error(
                            codes::TWICE,
                            procedure.named.span.clone(),
                            format!("there are two procedures called `{}`", procedure.named.name),
                        )
                        .with_remedy("give one of them another name")
                        .with_also(first.named.span.clone(), "the first one is here"),
                    );
                }
                file.procedures.push(procedure);
            }
            file.machine = Some(machine);
        }
        (None, Some(node)) => file.kitchen = Some(kitchen::kitchen(&mut reader, node)),
        (None, None) => reader.report(
            Problem::error(codes::ONE_MACHINE, 0..0, "there is no machine and no kitchen in this file")
                .with_remedy("write `machine \"name\" { … }`; `fulltray new` makes a file to start from"),
        ),
    }
    (file, reader.finish())
}

/// The languages that a file declares; English where it declares none.
fn languages(nodes: &[Node]) -> Vec<String> {
    let declared: Vec<String> = nodes
        .iter()
        .filter(|node| matches!(node.name.text.as_str(), "machine" | "kitchen"))
        .flat_map(|node| node.children().iter().filter(|child| child.name.text == "languages"))
        .flat_map(|node| node.arguments.iter().filter_map(|entry| entry.as_text().map(str::to_owned)))
        .collect();
    if declared.is_empty() { vec!["en".to_owned()] } else { declared }
}

fn version(reader: &mut Reader, nodes: &[Node]) {
    let remedy = "write `fulltray 1` as the first line";
    match nodes.first() {
        Some(node) if node.name.text == "fulltray" => {
            let known = node
                .arguments
                .first()
                .is_some_and(|entry| matches!(&entry.value, Value::Number(n) if n.as_integer() == Some(1)));
            if !known && !node.arguments.is_empty() {
                reader.report(
                    Problem::error(
                        codes::VERSION,
                        node.span.clone(),
                        "this program reads version 1 of the language",
                    )
                    .with_remedy("read this file with a newer program, or write `fulltray 1` if it was written for that"),
                );
            }
        }
        Some(node) => reader.report(
            Problem::error(
                codes::VERSION,
                node.name.span.clone(),
                "the file does not say its version of the language",
            )
            .with_remedy(remedy),
        ),
        None => {}
    }
}
