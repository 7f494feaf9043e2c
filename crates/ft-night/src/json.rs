//! Problems and plans as JSON text, version 1: one object, the fields of the types by their names.

use serde::{Deserialize, Serialize};

use crate::plan::Plan;
use crate::problem::Problem;

const VERSION: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Wire<T> {
    version: u32,
    #[serde(alias = "problem", alias = "plan")]
    content: T,
}

/// A problem as text.
pub fn print_problem(problem: &Problem) -> String {
    print(problem)
}

/// Reads a problem.
///
/// # Errors
/// One sentence for each thing that is wrong: with line and column where the text is broken, else by list position.
pub fn parse_problem(text: &str) -> Result<Problem, Vec<String>> {
    let problem: Problem = parse(text)?;
    let faults = problem.faults();
    if faults.is_empty() { Ok(problem) } else { Err(faults) }
}

/// A plan as text.
pub fn print_plan(plan: &Plan) -> String {
    print(plan)
}

/// Reads a plan. Whether it fits a problem is for the referee to say.
///
/// # Errors
/// What is wrong with the text, with line and column.
pub fn parse_plan(text: &str) -> Result<Plan, Vec<String>> {
    parse(text)
}

fn print<T: Serialize>(content: &T) -> String {
    serde_json::to_string(&Wire { version: VERSION, content })
        .expect("numbers, texts and lists always have a JSON text")
}

fn parse<T: for<'de> Deserialize<'de>>(text: &str) -> Result<T, Vec<String>> {
    let wire: Wire<T> = serde_json::from_str(text).map_err(|error| vec![error.to_string()])?;
    if wire.version == VERSION {
        Ok(wire.content)
    } else {
        Err(vec![format!("version {} is not one that this program reads (it reads {VERSION})", wire.version)])
    }
}
