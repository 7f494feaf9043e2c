//! Arguments of `record`.

use clap::{Args, Subcommand};

/// Arguments of `record`.
#[derive(Debug, Clone, Args)]
pub struct RecordArgs {
    /// What is asked.
    #[command(subcommand)]
    pub command: RecordCommand,
    /// Answer in JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// What can be done with a record. A place is a file, or an address that begins with `postgres://`.
#[derive(Debug, Clone, Subcommand)]
pub enum RecordCommand {
    /// Follow the chain from its first event, check every seal, and name the first link that does not hold.
    Verify {
        /// The record's place, or a file that `export` wrote.
        place: String,
        /// The site's public key as you have it from elsewhere: seals of another key do not hold.
        #[arg(long, value_name = "HEX")]
        key: Option<String>,
    },
    /// Write the record as JSON Lines, which verifies elsewhere, or as a table.
    Export {
        /// The record's place.
        place: String,
        /// As CSV, for a spreadsheet; it cannot be verified.
        #[arg(long)]
        csv: bool,
        /// To this file, instead of standard output.
        #[arg(long, value_name = "FILE")]
        to: Option<String>,
    },
    /// Write the whole record, with keys and settings, to one file, while others go on writing.
    Backup {
        /// The record's place.
        place: String,
        /// The file; it must not be there yet. Keep it as safe as the record: the site's key is in it.
        file: String,
    },
    /// Fill an empty place from a backup.
    Restore {
        /// The backup.
        file: String,
        /// The place.
        place: String,
    },
    /// Show events, one a line.
    Show {
        /// The record's place.
        place: String,
        /// Only those of this run.
        #[arg(long, value_name = "ID")]
        run: Option<String>,
        /// Only those after this place.
        #[arg(long, value_name = "N", default_value_t = 0)]
        since: u64,
        /// At most this many.
        #[arg(long, value_name = "N", default_value_t = 100)]
        limit: usize,
    },
}
