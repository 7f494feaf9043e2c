//! The rows and where they come from.

use std::path::{Path, PathBuf};

use serde_json::Value;

/// One check value.
#[derive(Debug, Clone)]
pub struct Row {
    /// Unique name; its first words name the family.
    pub id: String,
    /// What is given, in the units that its keys name.
    pub input: Value,
    /// What must come out: a number, a text, or a list of them.
    pub expected: Value,
    /// How far off it may be; see [`crate::compare::within`].
    pub tolerance: Value,
    /// Where the expected value comes from.
    pub source: String,
    /// How sure we are of the source.
    pub status: String,
}

/// Folder of the rows in this repository.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/oracles")
}

/// The files that are asked for: the one that `FULLTRAY_ORACLES` names, else every JSON file of this repository.
pub fn chosen_files() -> Vec<PathBuf> {
    std::env::var_os("FULLTRAY_ORACLES").map_or_else(our_files, |file| vec![PathBuf::from(file)])
}

/// The JSON files of rows in this repository, by name; each file's rows are a list of the same shape.
pub fn our_files() -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder()) else { return Vec::new() };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|extension| extension == "json"))
        .collect();
    files.sort();
    files
}

/// Reads the rows of several files, in order.
///
/// # Errors
/// As [`read`]; also no file at all, or an id that stands in two of them.
pub fn read_all(files: &[PathBuf]) -> Result<Vec<Row>, String> {
    let mut rows: Vec<Row> = Vec::new();
    for file in files {
        for row in read(file)? {
            if rows.iter().any(|earlier| earlier.id == row.id) {
                return Err(format!("{}: the id {} stands in another file too", file.display(), row.id));
            }
            rows.push(row);
        }
    }
    if rows.is_empty() { Err(format!("no rows in {}", folder().display())) } else { Ok(rows) }
}

/// Reads the rows of a file.
///
/// # Errors
/// The file cannot be read, is not a JSON list, or holds an object that lacks a column or repeats an id.
pub fn read(file: &Path) -> Result<Vec<Row>, String> {
    let name = file.display();
    let text = std::fs::read_to_string(file).map_err(|e| format!("{name}: {e}"))?;
    let list: Vec<Value> = serde_json::from_str(&text).map_err(|e| format!("{name}: {e}"))?;
    let mut rows: Vec<Row> = Vec::new();
    for (index, value) in list.iter().enumerate() {
        let row = row(value).map_err(|why| format!("{name}: row number {}: {why}", index + 1))?;
        if rows.iter().any(|earlier| earlier.id == row.id) {
            return Err(format!("{name}: the id {} stands twice", row.id));
        }
        rows.push(row);
    }
    Ok(rows)
}

fn row(value: &Value) -> Result<Row, String> {
    let column = |key: &str| value.get(key).cloned().ok_or_else(|| format!("no `{key}`"));
    let text =
        |key: &str| column(key)?.as_str().map(str::to_owned).ok_or_else(|| format!("`{key}` is not a text"));
    Ok(Row {
        id: text("id")?,
        input: column("input")?,
        expected: column("expected")?,
        tolerance: column("tolerance")?,
        source: text("source")?,
        status: text("status")?,
    })
}
