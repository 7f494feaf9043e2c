//! Reads files that a person names, and says plainly when one cannot be read.

use std::io::Read as _;

use ft_app::Source;

use crate::exit::Failure;

/// Files above this are not machine files.
const LARGEST: u64 = 64 << 20;

/// Reads a text file; `-` is standard input.
///
/// # Errors
/// [`Failure`] with what is wrong with it: missing, a folder, no permission, too large, not UTF-8.
pub fn text(path: &str) -> Result<Source, Failure> {
    let bytes = bytes(path)?;
    Source::from_bytes(path, &bytes).map_err(|(shown, trouble)| Failure::Text(shown, trouble))
}

fn bytes(path: &str) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    if path == "-" {
        std::io::stdin().take(LARGEST).read_to_end(&mut bytes).map_err(|error| {
            Failure::plain("F0073", format!("standard input cannot be read: {error}"), "name a file instead")
        })?;
        return Ok(bytes);
    }
    let about = std::fs::metadata(path).map_err(|error| unreadable(path, &error))?;
    if about.is_dir() {
        return Err(Failure::plain("F0073", format!("{path} is a folder"), "name a file in it"));
    }
    if about.len() > LARGEST {
        return Err(Failure::plain(
            "F0073",
            format!("{path} is larger than 64 MiB"),
            "name a machine file, kitchen file or core form file",
        ));
    }
    std::fs::read(path).map_err(|error| unreadable(path, &error))
}

/// Opens a file of any size for reading piece by piece.
///
/// # Errors
/// [`Failure`] with what is wrong with it: missing, a folder, no permission.
pub fn open(path: &str) -> Result<std::fs::File, Failure> {
    let file = std::fs::File::open(path).map_err(|error| unreadable(path, &error))?;
    match file.metadata() {
        Ok(about) if about.is_dir() => {
            Err(Failure::plain("F0073", format!("{path} is a folder"), "name a file in it"))
        }
        Ok(_) => Ok(file),
        Err(error) => Err(unreadable(path, &error)),
    }
}

fn unreadable(path: &str, error: &std::io::Error) -> Failure {
    let (wrong, remedy) = match error.kind() {
        std::io::ErrorKind::NotFound => ("there is no such file", "check the name and the folder"),
        std::io::ErrorKind::PermissionDenied => ("it may not be read", "ask for permission to read it"),
        _ => return Failure::plain("F0073", format!("{path}: {error}"), "check the file and try again"),
    };
    Failure::plain("F0073", format!("{path}: {wrong}"), remedy)
}
