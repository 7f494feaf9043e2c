//! The little of SQL that both databases share: `$1`, `BIGINT` and `TEXT`, nothing else.
//!
//! Parameters appear in the order of their numbers, since SQLite counts `$1` by its first appearance.

use crate::error::{StoreError, Trouble};

/// A value in a row or a parameter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// A whole number.
    Int(i64),
    /// Words.
    Text(String),
    /// Nothing.
    Null,
}

impl Value {
    pub fn int(&self) -> Result<i64, StoreError> {
        if let Self::Int(number) = self { Ok(*number) } else { Err(odd(self)) }
    }

    pub fn text(self) -> Result<String, StoreError> {
        if let Self::Text(text) = self { Ok(text) } else { Err(odd(&self)) }
    }
}

fn odd(value: &Value) -> StoreError {
    StoreError::new(Trouble::NotARecord, format!("a column holds {value:?}"))
}

impl From<u64> for Value {
    fn from(number: u64) -> Self {
        // Places and limits: a log does not reach 2^63 events.
        Self::Int(i64::try_from(number).unwrap_or(i64::MAX))
    }
}

impl From<i64> for Value {
    fn from(number: i64) -> Self {
        Self::Int(number)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

pub type Row = Vec<Value>;

/// A connection to one of the databases.
pub trait Sql: Send {
    /// Runs one statement, prepared once, and takes all its rows.
    fn run(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError>;

    /// Runs statements without parameters.
    fn batch(&mut self, sql: &str) -> Result<(), StoreError>;

    /// Begins a transaction in which nobody else writes.
    fn begin(&mut self) -> Result<(), StoreError>;
}

/// Sizes of a statement over many rows: few, so that each is prepared once.
const CHUNKS: [usize; 4] = [256, 64, 8, 1];

/// Runs a statement over many rows, several at a time: `head`, then a tuple of parameters for each row.
pub fn over_rows(
    sql: &mut dyn Sql,
    head: &str,
    tail: &str,
    width: usize,
    rows: &[Row],
) -> Result<Vec<Row>, StoreError> {
    let mut found = Vec::new();
    let mut rest = rows;
    while !rest.is_empty() {
        let size = CHUNKS.iter().copied().find(|&size| size <= rest.len()).unwrap_or(1);
        let (now, later) = rest.split_at(size);
        let tuples: Vec<String> = (0..size)
            .map(|row| {
                let marks: Vec<String> =
                    (1..=width).map(|column| format!("${}", row * width + column)).collect();
                if width == 1 { marks.concat() } else { format!("({})", marks.join(",")) }
            })
            .collect();
        let params: Vec<Value> = now.iter().flatten().cloned().collect();
        found.extend(sql.run(&format!("{head}{}{tail}", tuples.join(",")), &params)?);
        rest = later;
    }
    Ok(found)
}
