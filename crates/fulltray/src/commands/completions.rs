//! `fulltray completions`.

use clap::CommandFactory as _;

use super::out;
use crate::args::{Cli, CompletionsArgs};
use crate::exit::{Answer, Failure};

/// Prints the script for a shell.
pub fn run(args: &CompletionsArgs) -> Result<Answer, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "fulltray", &mut script);
    out(&String::from_utf8_lossy(&script))?;
    Ok(Answer::Yes)
}
