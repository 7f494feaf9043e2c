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

/// The file that is asked for: `FULLTRAY_ORACLES` if it is set, else `models.json` of this repository.
pub fn chosen_file() -> PathBuf {
    std::env::var_os("FULLTRAY_ORACLES").map_or_else(|| folder().join("models.json"), PathBuf::from)
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
