//! `fulltray run`: the night at the keyboard, for a kitchen without a tablet.

mod keys;

use std::io::{BufReader, IsTerminal as _};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use clap::Args;
use ft_pages::Language;
use ft_server::{Config, Seat};
use ft_terminal::{Console, Ended, Lines, Time};

use super::out;
use super::serve::{failure, reader};
use crate::exit::{Answer, Failure};
use crate::input;

/// Arguments of `run`.
#[derive(Debug, Clone, Default, Args)]
pub struct RunArgs {
    /// A kitchen file; the demo kitchen if left out.
    pub kitchen: Option<String>,
    /// Where the record is kept: a path, or `postgres://…`; `FULLTRAY_STORE`. Left out, `fulltray.db`, or for the demo
    /// kitchen a file of its own among the temporary ones.
    #[arg(long, value_name = "PLACE")]
    pub store: Option<String>,
    /// The procedure that is carried out.
    #[arg(long, value_name = "NAME", default_value = "closing")]
    pub procedure: String,
    /// The language, `en` or `es`; left out, the one that the person reads.
    #[arg(long, value_name = "CODE", value_parser = language)]
    pub language: Option<Language>,
    /// Plain lines also in a terminal, as where there is none: no keys, no colours.
    #[arg(long)]
    pub plain: bool,
}

fn language(code: &str) -> Result<Language, String> {
    Language::of(code).ok_or_else(|| "there are `en` and `es`".to_owned())
}

/// Carries the night out; unfinished where it stays open.
pub fn run(args: &RunArgs) -> Result<Answer, Failure> {
    let from_environment = || std::env::var("FULLTRAY_STORE").ok().filter(|text| !text.is_empty());
    let store = args.store.clone().or_else(from_environment).unwrap_or_else(|| match args.kitchen {
        Some(_) => Config::default().store,
        None => std::env::temp_dir().join("fulltray-demo.db").to_string_lossy().into_owned(),
    });
    // A night that goes on takes its files from the record; a wrong name is told all the same.
    if let Some(kitchen) = &args.kitchen {
        input::text(kitchen)?;
    }
    out(&format!("fulltray run · {store}\n"))?;
    let config = Config { store, procedure: args.procedure.clone(), ..Config::default() };
    let mut seat = Seat::open(config, reader(args.kitchen.clone())).map_err(failure)?;
    let is_terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let mut console: Box<dyn Console> = if is_terminal && !args.plain {
        Box::new(keys::Keys::open().map_err(|error| unusable(&error))?)
    } else {
        Box::new(Lines::new(BufReader::new(std::io::stdin()), std::io::stdout(), time()))
    };
    let ended = ft_terminal::run(&mut seat, console.as_mut(), &args.procedure, args.language);
    // The terminal is given back before anything else is said.
    drop(console);
    match ended {
        Ok(Ended::Signed) => Ok(Answer::Yes),
        Ok(Ended::Refused) => Ok(Answer::No),
        Ok(Ended::Later) => Ok(Answer::Unfinished),
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Err(Failure::Closed),
        Err(error) => Err(unusable(&error)),
    }
}

fn unusable(error: &std::io::Error) -> Failure {
    Failure::plain(
        "F0092",
        format!("the terminal cannot be used: {error}"),
        "try `--plain`; what was acknowledged is in the record, and the same command goes on with it",
    )
}

fn time() -> Time {
    Time { now_ms: Box::new(now_ms), sleep: Box::new(|span: Duration| std::thread::sleep(span)) }
}

fn now_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
}
