//! The one program: arguments in, answers out. What it can be asked is in `ft-app`; here are files, the terminal
//! and exit codes.

mod args;
mod commands;
mod exit;
mod input;
mod output;
mod record;

use std::process::ExitCode;

fn main() -> ExitCode {
    let args = args::read();
    match commands::run(args) {
        Ok(answer) => answer.code(),
        Err(failure) => {
            failure.show();
            failure.code()
        }
    }
}
