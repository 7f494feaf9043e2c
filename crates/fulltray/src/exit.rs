//! What the program says at its end: 0 fine, 1 the answer is no, 2 bad input or use, 3 could not finish.

use std::process::ExitCode;

use ft_app::{Source, Trouble};
use ft_diag::{Colour, Lines};

/// How a command that ran to its end ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    /// Fine.
    Yes,
    /// The answer is no: unsafe, not released, limits missed.
    No,
    /// It could not finish within its limits.
    Unfinished,
}

impl Answer {
    /// The exit code.
    pub fn code(self) -> ExitCode {
        match self {
            Self::Yes => ExitCode::SUCCESS,
            Self::No => ExitCode::from(1),
            Self::Unfinished => ExitCode::from(3),
        }
    }
}

/// Bad input or use: nothing was written.
#[derive(Debug)]
pub enum Failure {
    /// A text that has problems.
    Text(Source, Trouble),
    /// Anything else: code, what is wrong, what would be right.
    Plain(&'static str, String, String),
    /// Standard output is closed: nobody reads any more.
    Closed,
}

impl Failure {
    /// A failure without a place in a text.
    pub fn plain(code: &'static str, wrong: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Plain(code, wrong.into(), remedy.into())
    }

    /// The failure in one sentence, for a failure that this one causes.
    pub fn sentence(&self) -> String {
        match self {
            Self::Text(source, _) => format!("{} has problems", source.name),
            Self::Plain(_, wrong, _) => wrong.clone(),
            Self::Closed => "nobody reads the output".to_owned(),
        }
    }

    /// The exit code.
    pub fn code(&self) -> ExitCode {
        match self {
            Self::Closed => ExitCode::SUCCESS,
            Self::Text(..) | Self::Plain(..) => ExitCode::from(2),
        }
    }

    /// Says what is wrong on standard error.
    pub fn show(&self) {
        match self {
            Self::Text(source, trouble) => eprint!("{}", told(source, trouble)),
            Self::Plain(code, wrong, remedy) => eprintln!("error {code}: {wrong}\n  = {remedy}"),
            Self::Closed => {}
        }
    }
}

/// Trouble as text for a person.
pub fn told(source: &Source, trouble: &Trouble) -> String {
    match trouble {
        Trouble::Problems(problems) => {
            let mut out = ft_diag::render(problems, &source.name, &Lines::new(&source.text), Colour::Never);
            let errors = problems.iter().filter(|p| p.severity == ft_diag::Severity::Error).count();
            if errors > 0 {
                out.push_str(&format!(
                    "\n{} of {}: {}\n",
                    counted(errors, "error"),
                    source.name,
                    hint(problems)
                ));
            }
            out
        }
        Trouble::Form(sentences) => {
            let mut out = String::new();
            for sentence in sentences {
                out.push_str(&format!("error F0070: {}: {sentence}\n", source.name));
            }
            out.push_str("  = the format is described in docs/core-form.md\n");
            out
        }
        Trouble::Choice(wrong, remedy) => format!("error F0071: {}: {wrong}\n  = {remedy}\n", source.name),
    }
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn hint(problems: &[ft_diag::Problem]) -> String {
    let errors = problems.iter().filter(|problem| problem.severity == ft_diag::Severity::Error);
    let code = errors.map(|problem| problem.code).next().unwrap_or("F0030");
    format!("`fulltray explain {code}` tells more about the first")
}
