//! SQLite in one file: WAL, synced before a commit returns.

use std::path::Path;
use std::time::Duration;

use rusqlite::ffi::ErrorCode;
use rusqlite::types::{ToSqlOutput, ValueRef};
use rusqlite::{Connection, OpenFlags, ToSql, params_from_iter};

use crate::error::{StoreError, Trouble};
use crate::sql::{Row, Sql, Value};

/// How long to wait for another program that writes.
const PATIENCE: Duration = Duration::from_secs(5);

/// A connection to a file.
pub struct Sqlite(Connection);

impl Sqlite {
    /// Opens a file, making it if that is wanted.
    pub fn open(path: &Path, create: bool) -> Result<Self, StoreError> {
        let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        if create {
            flags |= OpenFlags::SQLITE_OPEN_CREATE;
        }
        let db = Connection::open_with_flags(path, flags)?;
        db.busy_timeout(PATIENCE)?;
        db.set_prepared_statement_cache_capacity(64);
        // Each commit syncs the log file before it returns. A file that may not be written keeps its mode.
        let mode: Result<String, _> = db.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0));
        if create {
            mode?;
        }
        db.pragma_update(None, "synchronous", "FULL")?;
        Ok(Self(db))
    }

    /// Copies the whole database, as it is at one moment, while others go on writing.
    pub fn copy_to(&self, path: &Path) -> Result<(), StoreError> {
        let mut copy = Connection::open(path)?;
        let backup = rusqlite::backup::Backup::new(&self.0, &mut copy)?;
        // All pages in one step: no writer can make it begin again, and in WAL mode none has to wait.
        backup.run_to_completion(i32::MAX, Duration::ZERO, None)?;
        drop(backup);
        // One file without a log beside it, so that it can be carried away.
        copy.pragma_update(None, "journal_mode", "DELETE")?;
        copy.close().map_err(|(_, error)| error.into())
    }
}

impl Sql for Sqlite {
    fn run(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError> {
        let mut statement = self.0.prepare_cached(sql)?;
        let width = statement.column_count();
        let mut rows = statement.query(params_from_iter(params))?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let values: Result<Row, StoreError> =
                (0..width).map(|column| value(row.get_ref(column)?)).collect();
            found.push(values?);
        }
        Ok(found)
    }

    fn batch(&mut self, sql: &str) -> Result<(), StoreError> {
        Ok(self.0.execute_batch(sql)?)
    }

    fn begin(&mut self) -> Result<(), StoreError> {
        self.batch("BEGIN IMMEDIATE")
    }
}

fn value(found: ValueRef<'_>) -> Result<Value, StoreError> {
    match found {
        ValueRef::Null => Ok(Value::Null),
        ValueRef::Integer(number) => Ok(Value::Int(number)),
        ValueRef::Text(bytes) => match std::str::from_utf8(bytes) {
            Ok(text) => Ok(Value::Text(text.to_owned())),
            // Somebody changed the file by hand. Whoever verifies has to see that, not to stumble over it.
            Err(_) => Ok(Value::Text(String::from_utf8_lossy(bytes).into_owned())),
        },
        other => Err(StoreError::new(Trouble::NotARecord, format!("a column holds {other:?}"))),
    }
}

impl ToSql for Value {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Self::Int(number) => ValueRef::Integer(*number),
            Self::Text(text) => ValueRef::Text(text.as_bytes()),
            Self::Null => ValueRef::Null,
        }))
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        let trouble = match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Trouble::Full,
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Trouble::ReadOnly,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Trouble::Locked,
            Some(ErrorCode::CannotOpen) => Trouble::NoSuch,
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => Trouble::NotARecord,
            _ => Trouble::Other,
        };
        Self::new(trouble, error)
    }
}
