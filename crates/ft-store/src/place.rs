//! Where a record lies.

use std::path::{Path, PathBuf};

use crate::error::{StoreError, Trouble};
use crate::postgres::Postgres;
use crate::sql::Sql;
use crate::sqlite::Sqlite;

/// A file or a server.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// SQLite in one file.
    File(PathBuf),
    /// PostgreSQL at an address.
    Server(String),
}

impl Place {
    /// Reads a place: a path, `sqlite:PATH`, `postgres://…` or `postgresql://…`.
    pub fn parse(text: &str) -> Result<Self, StoreError> {
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            return Ok(Self::Server(text.to_owned()));
        }
        let path = text.strip_prefix("sqlite:").unwrap_or(text);
        if path.is_empty() || path == ":memory:" || path.contains("://") {
            return Err(StoreError::new(
                Trouble::NoSuch,
                format!("`{text}` is neither a path nor an address that begins with postgres://"),
            ));
        }
        Ok(Self::File(PathBuf::from(path)))
    }

    /// Opens a connection.
    pub fn connect(&self, create: bool) -> Result<Box<dyn Sql>, StoreError> {
        Ok(match self {
            Self::File(path) => Box::new(Sqlite::open(path, create)?),
            Self::Server(address) => Box::new(Postgres::open(address)?),
        })
    }

    /// The file, if it is one.
    pub fn file(&self) -> Option<&Path> {
        if let Self::File(path) = self { Some(path) } else { None }
    }
}
