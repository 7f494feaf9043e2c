//! `fulltray tidy`.

use std::path::Path;

use ft_app::Trouble;

use super::out;
use crate::args::TidyArgs;
use crate::exit::{Answer, Failure};
use crate::{input, output};

/// Prints a file formatted, writes it, or says whether it is. With a problem in it nothing is printed or written.
pub fn run(args: &TidyArgs) -> Result<Answer, Failure> {
    let source = input::text(&args.file)?;
    let tidy = match ft_syntax::tidy(&source.text) {
        Ok(tidy) => tidy,
        Err(problems) => return Err(Failure::Text(source, Trouble::Problems(problems))),
    };
    let is_tidy = tidy == source.text;
    if args.check {
        if !is_tidy {
            out(&format!("{0} is not formatted; `fulltray tidy {0} --write` does it\n", args.file))?;
        }
        return Ok(if is_tidy { Answer::Yes } else { Answer::No });
    }
    if !args.write || args.file == "-" {
        out(&tidy)?;
    } else if !is_tidy {
        output::replace(Path::new(&args.file), tidy.as_bytes()).map_err(|error| {
            Failure::plain(
                "F0073",
                format!("{} cannot be written: {error}", args.file),
                "ask for permission to write it and its folder; it is as it was",
            )
        })?;
    }
    Ok(Answer::Yes)
}
