//! Showing, asking and telling: what every part of the night does.

use std::io;

use ft_record::Fact;
use ft_server::{Problem, Seat};

use crate::Ended;
use crate::console::{Answer, Ask, Console, Kind, Line, Style};
use crate::words::{Words, wrap};

/// Characters of a line: what a narrow terminal shows.
const WIDTH: usize = 76;

/// Why nothing more is asked.
#[derive(Debug)]
pub enum Stop {
    /// There are no more answers.
    End,
    /// The console cannot be read or shown on.
    Broken(io::Error),
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Self::Broken(error)
    }
}

/// A person at the keyboard, and the site.
pub struct Talk<'a> {
    /// The site.
    pub seat: &'a mut Seat,
    /// What is shown on.
    pub console: &'a mut dyn Console,
    /// The words.
    pub words: Words,
    /// What the next page says first.
    notes: Vec<Line>,
}

/// A line for each so many characters of a text.
pub fn lines(style: Style, indent: &str, text: &str) -> Vec<Line> {
    let wrapped = wrap(text, WIDTH - indent.len());
    wrapped.into_iter().map(|line| Line { style, text: format!("{indent}{line}") }).collect()
}

/// An empty line.
pub fn gap() -> Line {
    Line { style: Style::Plain, text: String::new() }
}

impl<'a> Talk<'a> {
    /// Begins.
    pub fn new(seat: &'a mut Seat, console: &'a mut dyn Console, words: Words) -> Self {
        Self { seat, console, words, notes: Vec::new() }
    }

    /// Something that the next page says first.
    pub fn note(&mut self, text: &str) {
        self.notes.extend(lines(Style::Note, "", text));
    }

    /// Likewise, as a list.
    pub fn note_list(&mut self, sentences: &[String]) {
        for sentence in sentences {
            let wrapped = lines(Style::Note, "    ", sentence);
            for (index, mut line) in wrapped.into_iter().enumerate() {
                if index == 0 {
                    line.text.replace_range(..4, "  - ");
                }
                self.notes.push(line);
            }
        }
    }

    /// What a problem says, and what would be right.
    pub fn note_problem(&mut self, problem: &Problem) {
        let why = format!("{} ({}) {}", problem.message, problem.code, problem.remedy);
        let text = self.words.fill("refused", &[("why", why.trim())]);
        self.note(&text);
    }

    /// Shows a page, with what was noted before it.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn page(&mut self, page: Vec<Line>) -> Result<(), Stop> {
        let mut all = std::mem::take(&mut self.notes);
        if !all.is_empty() && !page.is_empty() {
            all.push(gap());
        }
        all.extend(page);
        Ok(self.console.page(&all)?)
    }

    /// The last words.
    ///
    /// # Errors
    /// The console cannot be shown on.
    pub fn end(&mut self, ended: Ended) -> io::Result<()> {
        let is_open = {
            let current = self.seat.current();
            current.id.is_some() && !current.is_signed()
        };
        if ended == Ended::Later && is_open {
            self.note(self.words.say("later"));
        }
        let notes = std::mem::take(&mut self.notes);
        if notes.is_empty() { Ok(()) } else { self.console.page(&notes) }
    }

    /// Asks for a line.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn ask(&mut self, prompt: &str, kind: Kind) -> Result<String, Stop> {
        let asked = Ask { prompt, kind, rings_ms: None, status: &|_| String::new() };
        match self.console.ask(&asked)? {
            Answer::Line(line) => Ok(line.trim().to_owned()),
            Answer::Rang | Answer::End => Err(Stop::End),
        }
    }

    /// Asks which of several, by number; `None`: none of them.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn choose(&mut self, title: &str, options: &[String]) -> Result<Option<usize>, Stop> {
        loop {
            let mut page = lines(Style::Title, "", title);
            for (index, option) in options.iter().enumerate() {
                let number = format!("{:>3}  ", index + 1);
                let wrapped = lines(Style::Plain, "     ", option);
                for (place, mut line) in wrapped.into_iter().enumerate() {
                    if place == 0 {
                        line.text.replace_range(..5, &number);
                    }
                    page.push(line);
                }
            }
            page.extend(lines(Style::Plain, "     ", &format!("({})", self.words.say("answer.back"))));
            self.page(page)?;
            let typed = self.ask(">", Kind::Line)?;
            if typed.is_empty() {
                return Ok(None);
            }
            let chosen = typed.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
            if let Some(chosen) = chosen.filter(|chosen| *chosen < options.len()) {
                return Ok(Some(chosen));
            }
            let most = options.len().to_string();
            let typed: String = typed.chars().take(40).collect();
            let bad = self.words.fill("answer.bad", &[("typed", &typed), ("most", &most)]);
            self.note(&bad);
        }
    }

    /// Tells what happened; whether it is in the record now. Where it is not, the next page says why.
    pub fn tell(&mut self, machine: Option<&str>, fact: Fact) -> bool {
        let now_ms = self.console.now_ms();
        match self.seat.tell(machine, fact, now_ms) {
            Ok(()) => true,
            Err(problem) => {
                self.note_problem(&problem);
                false
            }
        }
    }
}
