//! The night in a terminal: a page at a time, one key for a command, timers that count, a PIN that nobody sees.
//!
//! What is meant by a page and by a key is not known here.

use std::io::{self, Stdout, Write as _};
use std::time::{Duration, Instant};

use crossterm::cursor::{MoveTo, MoveToColumn};
use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::queue;
use crossterm::style::{Attribute, Print, SetAttribute};
use crossterm::terminal::{Clear, ClearType, disable_raw_mode, enable_raw_mode};
use ft_terminal::{Answer, Ask, Console, Kind, Line, Style};

use super::now_ms;

/// The same key again within this time is one press: wet fingers press twice, and a key that is held repeats. Source:
/// none, our choice.
const TWICE: Duration = Duration::from_millis(400);
/// How often the clock is looked at.
const TICK: Duration = Duration::from_millis(250);
/// Characters of an answer.
const LONGEST: usize = 300;

/// A terminal, given back as it was when this ends.
pub struct Keys {
    out: Stdout,
    page: Vec<Line>,
    last: Option<(KeyCode, Instant)>,
}

impl Keys {
    /// Takes the terminal over.
    pub fn open() -> io::Result<Self> {
        enable_raw_mode()?;
        Ok(Self { out: io::stdout(), page: Vec::new(), last: None })
    }

    fn show(&mut self) -> io::Result<()> {
        queue!(self.out, Clear(ClearType::All), MoveTo(0, 0))?;
        for line in &self.page {
            // Bold and underlined as well as marked by words and signs: nothing hangs on what a terminal can show.
            let attribute = match line.style {
                Style::Head => Attribute::Dim,
                Style::Title | Style::Caution => Attribute::Bold,
                Style::Note => Attribute::Underlined,
                Style::Plain => Attribute::Reset,
            };
            let text = Print(&line.text);
            queue!(self.out, SetAttribute(attribute), text, SetAttribute(Attribute::Reset), Print("\r\n"))?;
        }
        self.out.flush()
    }

    /// The line on which something is asked.
    fn prompt(&mut self, ask: &Ask<'_>, typed: &str) -> io::Result<()> {
        let shown = match ask.kind {
            Kind::Secret => "*".repeat(typed.chars().count()),
            Kind::Command | Kind::Line => typed.to_owned(),
        };
        let status = (ask.status)(now_ms());
        let status = if status.is_empty() { status } else { format!("[{status}] ") };
        let line = format!("{status}{} {shown}", ask.prompt);
        queue!(self.out, MoveToColumn(0), Clear(ClearType::CurrentLine), Print(line))?;
        self.out.flush()
    }

    /// The next key that counts within a moment.
    fn key(&mut self) -> io::Result<Option<KeyEvent>> {
        if !event::poll(TICK)? {
            return Ok(None);
        }
        match event::read()? {
            Event::Key(key) if key.kind != KeyEventKind::Release => Ok(Some(key)),
            Event::Resize(..) => self.show().map(|()| None),
            _ => Ok(None),
        }
    }

    /// Whether a key is the one that was pressed just now.
    fn is_twice(&mut self, code: KeyCode) -> bool {
        let now = Instant::now();
        let is_same = self.last.is_some_and(|(last, at)| last == code && now - at < TWICE);
        self.last = Some((code, now));
        is_same
    }
}

impl Drop for Keys {
    fn drop(&mut self) {
        // There is nobody left to tell.
        let _ = disable_raw_mode();
        let _ = writeln!(self.out, "\r");
    }
}

/// Whether a key ends the program.
fn is_end(key: KeyEvent) -> bool {
    key.modifiers.contains(KeyModifiers::CONTROL) && matches!(key.code, KeyCode::Char('c' | 'd'))
}

impl Console for Keys {
    fn now_ms(&self) -> i64 {
        now_ms()
    }

    fn page(&mut self, lines: &[Line]) -> io::Result<()> {
        self.page = lines.to_vec();
        self.show()
    }

    fn ask(&mut self, ask: &Ask<'_>) -> io::Result<Answer> {
        let mut typed = String::new();
        loop {
            if ask.rings_ms.is_some_and(|at| at <= now_ms()) {
                return Ok(Answer::Rang);
            }
            self.prompt(ask, &typed)?;
            let Some(key) = self.key()? else { continue };
            if is_end(key) {
                return Ok(Answer::End);
            }
            let is_twice = self.is_twice(key.code);
            match (ask.kind, key.code) {
                (Kind::Command, KeyCode::Char(_) | KeyCode::Enter) if is_twice => {}
                (Kind::Command, KeyCode::Char(letter)) => return Ok(Answer::Line(letter.to_string())),
                (Kind::Command, KeyCode::Enter) => return Ok(Answer::Line("done".to_owned())),
                (_, KeyCode::Enter) => return Ok(Answer::Line(typed)),
                (_, KeyCode::Esc) => return Ok(Answer::Line(String::new())),
                (_, KeyCode::Backspace) => {
                    typed.pop();
                }
                (_, KeyCode::Char(letter)) if typed.chars().count() < LONGEST => typed.push(letter),
                _ => {}
            }
        }
    }

    fn ring(&mut self) -> io::Result<()> {
        self.out.write_all(b"\x07")?;
        self.out.flush()
    }

    fn wait_until(&mut self, at_ms: i64) {
        // Any key goes on earlier.
        while now_ms() < at_ms {
            if matches!(self.key(), Ok(Some(_)) | Err(_)) {
                return;
            }
        }
    }
}
