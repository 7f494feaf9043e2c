//! `fulltray man`.

use clap::CommandFactory as _;

use super::out;
use crate::args::{Cli, ManArgs};
use crate::exit::{Answer, Failure};

/// Prints the manual page of the program or of one command, in roff.
pub fn run(args: &ManArgs) -> Result<Answer, Failure> {
    let mut program = Cli::command();
    // Names such as `fulltray-check` are made only when it is built.
    program.build();
    let described = match &args.command {
        None => &program,
        Some(name) => program.find_subcommand(name).ok_or_else(|| unknown(&program, name))?,
    };
    let mut page = Vec::new();
    clap_mangen::Man::new(described.clone()).render(&mut page).expect("writing to memory does not fail");
    out(&String::from_utf8_lossy(&page))?;
    Ok(Answer::Yes)
}

fn unknown(program: &clap::Command, name: &str) -> Failure {
    let known: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
    let remedy = match ft_diag::nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are: {}", known.join(", ")),
    };
    Failure::plain("F0071", format!("there is no command `{name}`"), remedy)
}
