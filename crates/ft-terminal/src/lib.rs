//! The night at a keyboard: one person, for a kitchen without a tablet.
//!
//! A step is shown in plain words with its cautions before its action; what may not be done yet is refused and
//! explained; timers ring; the tray is filled slot by slot; at the end somebody signs with a PIN. All of it goes through
//! the same site as a tablet's touches ([`ft_server::Seat`]): judged by the same rules, durable before it is
//! acknowledged, and there again after a power cut.
//!
//! Nothing here knows a terminal or reads a clock: both come in as a [`Console`]. The whole night is tested by lines.

mod commands;
mod console;
mod differ;
mod measure;
mod night;
mod sign;
mod start;
mod step;
mod talk;
mod timers;
mod tray;
mod words;

use std::io;

use ft_pages::Language;
use ft_server::Seat;

pub use commands::Command;
pub use console::{Answer, Ask, Console, Kind, Line, Lines, Style, Time};

use talk::{Stop, Talk};
use words::Words;

/// How it ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// The night is signed.
    Signed,
    /// The night stays open, or was not begun; it can go on later.
    Later,
    /// Nobody was let in, or there is no plan.
    Refused,
}

/// A night at a keyboard, from the sign-in on, until it is signed or there are no more answers.
///
/// `language` is the one that is shown; left out, the one that the person reads.
///
/// # Errors
/// The console cannot be read or shown on.
pub fn run(
    seat: &mut Seat,
    console: &mut dyn Console,
    procedure: &str,
    language: Option<Language>,
) -> io::Result<Ended> {
    let words = Words(language.unwrap_or(Language::English));
    let mut talk = Talk::new(seat, console, words);
    let ended = match start::start(&mut talk, procedure, language) {
        Ok(true) => night::night(&mut talk),
        Ok(false) => Ok(Ended::Refused),
        Err(stop) => Err(stop),
    };
    let ended = match ended {
        Ok(ended) => ended,
        Err(Stop::End) => Ended::Later,
        Err(Stop::Broken(error)) => return Err(error),
    };
    talk.end(ended)?;
    Ok(ended)
}
