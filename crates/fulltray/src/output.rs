//! Writes files whole or not at all.

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::exit::Failure;

/// Puts these bytes in the place of a file in one step: whoever reads it, or pulls the plug, finds the old file or the
/// new one and nothing between. Links are followed, permissions of a file that is there stay.
///
/// # Errors
/// What the system says; the old file, if any, is as it was.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let (path, kept) = match path.canonicalize() {
        Ok(path) => (path.clone(), Some(path.metadata()?)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => (PathBuf::from(path), None),
        Err(error) => return Err(error),
    };
    let folder = match path.parent() {
        Some(folder) if folder.as_os_str().is_empty() => Path::new("."),
        Some(folder) => folder,
        None => return Err(io::Error::other("it lies in no folder")),
    };
    if kept.as_ref().is_some_and(std::fs::Metadata::is_dir) {
        return Err(io::Error::other("it is a folder"));
    }
    let mut new = beside().tempfile_in(folder)?;
    new.write_all(bytes)?;
    if let Some(kept) = kept {
        new.as_file().set_permissions(kept.permissions())?;
    }
    new.as_file().sync_all()?;
    new.persist(&path)?;
    Ok(())
}

/// A file beside the one to be written, with the permissions that new files have here.
fn beside() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".fulltray-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}

/// Writes a file that a person named, whole or not at all.
///
/// # Errors
/// The file cannot be written.
pub fn bytes(path: &str, bytes: &[u8]) -> Result<(), Failure> {
    replace(Path::new(path), bytes).map_err(|error| {
        Failure::plain(
            "F0073",
            format!("{path} cannot be written: {error}"),
            "name a file in a folder that you may write to",
        )
    })
}
