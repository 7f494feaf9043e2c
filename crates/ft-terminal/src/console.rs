//! What the night is shown on and asked through: a terminal, or plain lines.

use std::io::{self, BufRead, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

/// How a line is meant; a console shows that as it can, and never by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Who, when, how far.
    Head,
    /// What is to be done now.
    Title,
    /// What to beware of.
    Caution,
    /// What somebody should know: a refusal, a timer that rang.
    Note,
    /// All else.
    Plain,
}

/// A line of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// How it is meant.
    pub style: Style,
    /// The words, one line.
    pub text: String,
}

/// In what form an answer comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A command, which a terminal takes as one key.
    Command,
    /// A line.
    Line,
    /// A line that nobody should see.
    Secret,
}

/// What is asked.
pub struct Ask<'a> {
    /// What stands before the answer.
    pub prompt: &'a str,
    /// In what form it comes.
    pub kind: Kind,
    /// When a timer rings: the question is broken off then, milliseconds since 1970.
    pub rings_ms: Option<i64>,
    /// What changes with time, such as how long a timer still runs.
    pub status: &'a dyn Fn(i64) -> String,
}

/// What came of a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// An answer.
    Line(String),
    /// A timer rang before there was one.
    Rang,
    /// There will be no more answers.
    End,
}

/// What the night is shown on and asked through.
pub trait Console {
    /// What time it is, milliseconds since 1970.
    fn now_ms(&self) -> i64;
    /// Shows a page in the place of what was shown before.
    ///
    /// # Errors
    /// Nobody can read it.
    fn page(&mut self, lines: &[Line]) -> io::Result<()>;
    /// Asks.
    ///
    /// # Errors
    /// Nothing can be read or shown.
    fn ask(&mut self, ask: &Ask<'_>) -> io::Result<Answer>;
    /// Rings.
    ///
    /// # Errors
    /// Nobody can hear it.
    fn ring(&mut self) -> io::Result<()>;
    /// Lets time pass.
    fn wait_until(&mut self, at_ms: i64);
}

/// Where time comes from, and how it is let pass.
pub struct Time {
    /// What time it is, milliseconds since 1970.
    pub now_ms: Box<dyn Fn() -> i64>,
    /// Lets some of it pass.
    pub sleep: Box<dyn Fn(Duration)>,
}

/// How often a clock is looked at while a timer runs.
const TICK: Duration = Duration::from_millis(200);

/// Plain lines: each page below the one before, each answer a line.
pub struct Lines<W> {
    answers: Receiver<String>,
    out: W,
    time: Time,
}

impl<W: Write> Lines<W> {
    /// Reads answers from `input` in a thread of its own, since a timer may ring while nothing is typed.
    pub fn new(mut input: impl BufRead + Send + 'static, out: W, time: Time) -> Self {
        let (sender, answers) = channel();
        std::thread::spawn(move || {
            let mut bytes = Vec::new();
            // What is not UTF-8 is no command either, and is told so.
            while matches!(input.read_until(b'\n', &mut bytes), Ok(1..)) {
                let line = String::from_utf8_lossy(&bytes).trim().to_owned();
                if sender.send(line).is_err() {
                    return;
                }
                bytes.clear();
            }
        });
        Self { answers, out, time }
    }
}

impl<W: Write> Console for Lines<W> {
    fn now_ms(&self) -> i64 {
        (self.time.now_ms)()
    }

    fn page(&mut self, lines: &[Line]) -> io::Result<()> {
        writeln!(self.out)?;
        for line in lines {
            writeln!(self.out, "{}", line.text)?;
        }
        self.out.flush()
    }

    fn ask(&mut self, ask: &Ask<'_>) -> io::Result<Answer> {
        write!(self.out, "{} ", ask.prompt)?;
        self.out.flush()?;
        loop {
            if ask.rings_ms.is_some_and(|at| at <= self.now_ms()) {
                writeln!(self.out)?;
                return Ok(Answer::Rang);
            }
            match self.answers.recv_timeout(TICK) {
                Ok(line) => {
                    writeln!(self.out)?;
                    return Ok(Answer::Line(line));
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => {
                    writeln!(self.out)?;
                    return Ok(Answer::End);
                }
            }
        }
    }

    fn ring(&mut self) -> io::Result<()> {
        self.out.write_all(b"\x07")
    }

    fn wait_until(&mut self, at_ms: i64) {
        loop {
            let left = u64::try_from(at_ms - self.now_ms()).unwrap_or(0);
            if left == 0 {
                return;
            }
            (self.time.sleep)(TICK.min(Duration::from_millis(left)));
        }
    }
}
