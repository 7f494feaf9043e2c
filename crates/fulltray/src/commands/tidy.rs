//! `fulltray tidy`.

use std::io::{self, Write as _};
use std::path::Path;

use ft_app::Trouble;

use super::out;
use crate::args::TidyArgs;
use crate::exit::{Answer, Failure};
use crate::input;

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
        replace(Path::new(&args.file), &tidy).map_err(|error| {
            Failure::plain(
                "F0073",
                format!("{} cannot be written: {error}", args.file),
                "ask for permission to write it and its folder; it is as it was",
            )
        })?;
    }
    Ok(Answer::Yes)
}

/// Puts a new text in the place of a file in one step: whoever reads it, or pulls the plug, finds the old text or
/// the new one and nothing between. Links are followed, permissions stay.
fn replace(path: &Path, text: &str) -> io::Result<()> {
    let path = path.canonicalize()?;
    let folder = path.parent().ok_or_else(|| io::Error::other("it lies in no folder"))?;
    let mut new = tempfile::Builder::new().prefix(".fulltray-").tempfile_in(folder)?;
    new.write_all(text.as_bytes())?;
    new.as_file().set_permissions(path.metadata()?.permissions())?;
    new.as_file().sync_all()?;
    new.persist(&path)?;
    Ok(())
}
