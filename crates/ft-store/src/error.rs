//! What can go wrong where the record is kept, and what would help.

use std::fmt;

/// Why the record could not be read or written. Nothing that was acknowledged is lost by any of these.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoreError {
    /// What kind it is.
    pub trouble: Trouble,
    /// What the database said, for the log.
    pub detail: String,
}

/// Kinds of trouble, each with a code, a sentence and a remedy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trouble {
    /// The disk is full.
    Full,
    /// The disk, the folder or the database may only be read.
    ReadOnly,
    /// Another program holds the database.
    Locked,
    /// There is no such database, or it does not answer.
    NoSuch,
    /// What lies there is not a record of this program, or it is damaged.
    NotARecord,
    /// It was made by a newer version of this program.
    Newer,
    /// The database does not promise that what it acknowledged is on the disk.
    NotDurable,
    /// There is something in the place that should be empty.
    NotEmpty,
    /// Something cannot be written down: a number that is none, a key with a NUL.
    NotWritable,
    /// Anything else that the database said.
    Other,
}

impl Trouble {
    /// A stable code.
    pub fn code(self) -> &'static str {
        match self {
            Self::Full => "S0001",
            Self::ReadOnly => "S0002",
            Self::Locked => "S0003",
            Self::NoSuch => "S0004",
            Self::NotARecord => "S0005",
            Self::Newer => "S0006",
            Self::NotDurable => "S0007",
            Self::NotEmpty => "S0008",
            Self::NotWritable => "S0009",
            Self::Other => "S0010",
        }
    }

    /// What is wrong, in one sentence without a full stop.
    pub fn message(self) -> &'static str {
        match self {
            Self::Full => "the record could not be saved: its disk is full",
            Self::ReadOnly => "the record could not be saved: its place may only be read",
            Self::Locked => "the record is held by another program",
            Self::NoSuch => "there is no record at this place, or its database does not answer",
            Self::NotARecord => "what lies at this place is not a record, or it is damaged",
            Self::Newer => "the record was made by a newer version of this program",
            Self::NotDurable => "this database may lose what it has acknowledged: its `fsync` is off",
            Self::NotEmpty => "there is a record at this place already",
            Self::NotWritable => "there is something in it that cannot be written down",
            Self::Other => "the record's database failed",
        }
    }

    /// What would be right.
    pub fn remedy(self) -> &'static str {
        match self {
            Self::Full => {
                "make room on the disk that holds the record, then try again; what was acknowledged is safe"
            }
            Self::ReadOnly => "let the program write to the file and to its folder, then try again",
            Self::Locked => "stop the other program, or wait until it is done, then try again",
            Self::NoSuch => {
                "check the path or the address; `fulltray serve` makes a record where there is none"
            }
            Self::NotARecord => {
                "name the record's own file, or restore a backup with `fulltray record restore`"
            }
            Self::Newer => "use the newer version of this program",
            Self::NotDurable => "set `fsync = on` in the database's settings",
            Self::NotEmpty => "name a place where there is nothing yet",
            Self::NotWritable => {
                "send a reading as a number, or leave it out; leave out characters that nobody can see"
            }
            Self::Other => "look at the log for what the database said; what was acknowledged is safe",
        }
    }
}

impl StoreError {
    /// An error of a kind, with what the database said.
    pub fn new(trouble: Trouble, detail: impl fmt::Display) -> Self {
        Self { trouble, detail: detail.to_string() }
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.trouble.message())?;
        if self.detail.is_empty() { Ok(()) } else { write!(out, " ({})", self.detail) }
    }
}

impl std::error::Error for StoreError {}
