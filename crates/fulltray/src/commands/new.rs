//! `fulltray new`.

use std::io::Write as _;

use super::out;
use crate::args::NewArgs;
use crate::exit::{Answer, Failure};

/// Prints the starter machine file, or writes it where no file is yet.
pub fn run(args: &NewArgs) -> Result<Answer, Failure> {
    let Some(path) = &args.to else {
        out(ft_app::STARTER)?;
        return Ok(Answer::Yes);
    };
    // `create_new` looks and creates in one, so a file that appears meanwhile is safe too.
    let written =
        std::fs::File::create_new(path).and_then(|mut file| file.write_all(ft_app::STARTER.as_bytes()));
    written.map_err(|error| match error.kind() {
        std::io::ErrorKind::AlreadyExists => Failure::plain(
            "F0078",
            format!("{path} is there already, and is left as it is"),
            "give another name, or move it away first",
        ),
        _ => Failure::plain(
            "F0073",
            format!("{path} cannot be written: {error}"),
            "name a file in a folder that you may write to",
        ),
    })?;
    out(&format!("{path} is a whole small machine. Try `fulltray check {path}`, then make it yours.\n"))?;
    Ok(Answer::Yes)
}
