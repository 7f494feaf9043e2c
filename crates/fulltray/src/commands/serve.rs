//! `fulltray serve`, and what the program does without a command in a terminal.

use std::io::IsTerminal as _;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use clap::Args;
use ft_app::Source;
use ft_server::{Config, NoSite, ProbesConfig, Read, Started};

use super::{out, plan};
use crate::args::PlanArgs;
use crate::exit::{Answer, Failure};
use crate::input;

/// Arguments of `serve`. Flags come before the environment, the environment before the file.
#[derive(Debug, Clone, Default, Args)]
pub struct ServeArgs {
    /// A kitchen file; the demo kitchen if left out.
    pub kitchen: Option<String>,
    /// Where to listen; `FULLTRAY_LISTEN`. Other tablets reach it on `0.0.0.0:8443` with `--name`.
    #[arg(long, value_name = "ADDRESS")]
    pub listen: Option<SocketAddr>,
    /// Where the record is kept: a path, or `postgres://…`; `FULLTRAY_STORE`.
    #[arg(long, value_name = "PLACE")]
    pub store: Option<String>,
    /// A name under which tablets reach it, such as `kiosk.local`: then it serves HTTPS with a certificate of its own;
    /// may be given more than once; `FULLTRAY_NAME`.
    #[arg(long = "name", value_name = "NAME")]
    pub names: Vec<String>,
    /// Where the site's own certificate authority lies (beside the record if left out); `FULLTRAY_CERTIFICATES`.
    #[arg(long, value_name = "FOLDER")]
    pub certificates: Option<PathBuf>,
    /// Minutes without a touch until a session ends; `FULLTRAY_SESSION_MINUTES`.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=720))]
    pub session_minutes: Option<u32>,
    /// The procedure that is planned at the start.
    #[arg(long, value_name = "NAME")]
    pub procedure: Option<String>,
    /// How many schedules to build for the plan of a night (20000 if left out); `FULLTRAY_WORK`.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=MOST_WORK))]
    pub work: Option<u64>,
    /// A file that says which probes are followed: a broker's messages, a folder of loggers; `FULLTRAY_PROBES`.
    #[arg(long, value_name = "FILE")]
    pub probes: Option<String>,
    /// A file with the same settings, one a line, such as `listen "0.0.0.0:8443"`.
    #[arg(long, value_name = "FILE")]
    pub config: Option<String>,
}

/// More schedules than this nobody waits for when a night is opened.
const MOST_WORK: u64 = 10_000_000;

/// Serves until it is ended.
pub fn run(args: &ServeArgs) -> Result<Answer, Failure> {
    let file = match &args.config {
        Some(path) => Settings::read(&input::text(path)?)?,
        None => Settings::default(),
    };
    let mut config = config(args, &file)?;
    let probes = setting(args.probes.clone(), "FULLTRAY_PROBES", file.get("probes"));
    let probes = probes.map(|path| probes_of(&path)).transpose()?;
    config.probes = probes.as_ref().map(|(_, probes)| probes.clone());
    let folder = args
        .certificates
        .clone()
        .or_else(|| setting(None, "FULLTRAY_CERTIFICATES", file.get("certificates")).map(PathBuf::from))
        .unwrap_or_else(|| Path::new(&config.store).parent().unwrap_or(Path::new(".")).to_path_buf());
    serve(config, &folder, args.kitchen.clone()).map_err(|none| match (none, probes) {
        (NoSite::Probes(problems), Some((source, _))) => {
            Failure::Text(source, ft_app::Trouble::Problems(problems))
        }
        (none, _) => failure(none),
    })
}

/// The probes of a file, with its text for what is wrong in it.
fn probes_of(path: &str) -> Result<(Source, ProbesConfig), Failure> {
    let source = input::text(path)?;
    let read = ft_probe::read(&source.text);
    if !read.problems.is_empty() {
        return Err(Failure::Text(source, ft_app::Trouble::Problems(read.problems)));
    }
    let variable = read.mapping.broker.as_ref().and_then(|broker| broker.password_env.as_ref());
    let password = variable.and_then(|variable| std::env::var(variable).ok());
    let beside = Path::new(path).parent().unwrap_or(Path::new(".")).to_path_buf();
    Ok((source, ProbesConfig { read, beside, password }))
}

/// Prints tonight's plan for the demo kitchen; in a terminal, serves it then.
pub fn demo(no_serve: bool) -> Result<Answer, Failure> {
    let answer = plan::run(&PlanArgs::default())?;
    let is_script = std::env::var_os("CI").is_some() || !std::io::stdout().is_terminal();
    if no_serve || is_script || answer != Answer::Yes {
        return Ok(answer);
    }
    out("\nServing the demo kitchen on this computer; `--no-serve` prints the plan alone.\n")?;
    let store = std::env::temp_dir().join("fulltray-demo.db");
    let config = Config { next_free: true, store: store.to_string_lossy().into_owned(), ..Config::default() };
    serve(config, &std::env::temp_dir(), None).map_err(failure)
}

fn config(args: &ServeArgs, file: &Settings) -> Result<Config, Failure> {
    let mut config = Config::default();
    let bad = |what: &str, text: &str, like: &str| {
        Failure::plain(
            "F0089",
            format!("{what} is {text:?}, which it cannot be"),
            format!("write it like {like}"),
        )
    };
    if let Some(listen) = args.listen {
        config.listen = listen;
    } else if let Some(text) = setting(None, "FULLTRAY_LISTEN", file.get("listen")) {
        config.listen = text.parse().map_err(|_| bad("listen", &text, "127.0.0.1:8080"))?;
    }
    if let Some(store) = setting(args.store.clone(), "FULLTRAY_STORE", file.get("store")) {
        config.store = store;
    }
    config.names.clone_from(&args.names);
    if config.names.is_empty() {
        config.names = setting(None, "FULLTRAY_NAME", file.get("name"))
            .map(|names| names.split(',').map(|name| name.trim().to_owned()).collect())
            .unwrap_or_default();
    }
    config.metrics_token = setting(None, "FULLTRAY_METRICS_TOKEN", file.get("metrics-token"));
    if let Some(minutes) = args.session_minutes {
        config.session_min = minutes;
    } else if let Some(text) = setting(None, "FULLTRAY_SESSION_MINUTES", file.get("session-minutes")) {
        let minutes = text.parse().ok().filter(|minutes| (1..=720).contains(minutes));
        config.session_min = minutes.ok_or_else(|| bad("session-minutes", &text, "60"))?;
    }
    if let Some(work) = args.work {
        config.work = work;
    } else if let Some(text) = setting(None, "FULLTRAY_WORK", file.get("work")) {
        let work = text.parse().ok().filter(|work| (1..=MOST_WORK).contains(work));
        config.work = work.ok_or_else(|| bad("work", &text, "20000"))?;
    }
    if let Some(procedure) = setting(args.procedure.clone(), "FULLTRAY_PROCEDURE", file.get("procedure")) {
        config.procedure = procedure;
    }
    Ok(config)
}

/// A flag, else the environment, else the file.
fn setting(flag: Option<String>, variable: &str, file: Option<&str>) -> Option<String> {
    flag.or_else(|| std::env::var(variable).ok().filter(|text| !text.is_empty()))
        .or_else(|| file.map(str::to_owned))
}

/// A file of settings: names with one text each.
#[derive(Debug, Default)]
struct Settings(Vec<(String, String)>);

/// What a file may set.
const KNOWN: [&str; 9] = [
    "listen",
    "store",
    "name",
    "certificates",
    "metrics-token",
    "session-minutes",
    "procedure",
    "work",
    "probes",
];

impl Settings {
    fn read(source: &Source) -> Result<Self, Failure> {
        let parsed = ft_syntax::parse(&source.text);
        if !parsed.problems.is_empty() {
            return Err(Failure::Text(source.clone(), ft_app::Trouble::Problems(parsed.problems)));
        }
        let mut settings = Vec::new();
        for node in &parsed.document.nodes {
            let name = node.name.text.as_str();
            if !KNOWN.contains(&name) {
                return Err(Failure::plain(
                    "F0089",
                    format!("{}: there is no setting {name:?}", source.name),
                    format!("there are: {}", KNOWN.join(", ")),
                ));
            }
            let values: Vec<String> = node.arguments.iter().map(|entry| text(&entry.value)).collect();
            settings.push((name.to_owned(), values.join(",")));
        }
        Ok(Self(settings))
    }

    fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }
}

fn text(value: &ft_syntax::Value) -> String {
    match value {
        ft_syntax::Value::String(text) => text.clone(),
        ft_syntax::Value::Number(number) => number.raw.clone(),
        ft_syntax::Value::Bool(on) => on.to_string(),
        ft_syntax::Value::Null => String::new(),
    }
}

/// Gives the texts of a kitchen: of a file and what lies beside it, or of the demo.
pub fn reader(kitchen: Option<String>) -> Box<Read> {
    match kitchen {
        Some(path) => Box::new(move |name| {
            let file = match name {
                Some(name) => Path::new(&path).parent().unwrap_or(Path::new(".")).join(name),
                None => PathBuf::from(&path),
            };
            input::text(&file.to_string_lossy()).map_err(|failure| failure.sentence())
        }),
        None => Box::new(|name| {
            plan::demo(name.unwrap_or("pier.kitchen.kdl"))
                .ok_or_else(|| "it is not part of the demo".to_owned())
        }),
    }
}

fn serve(config: Config, folder: &Path, kitchen: Option<String>) -> Result<Answer, NoSite> {
    let read = reader(kitchen);
    let is_plain = config.names.is_empty();
    let is_far = !config.listen.ip().is_loopback();
    let store = config.store.clone();
    let started = |started: &Started| tell(started, is_plain && is_far, &store);
    ft_server::serve(config, folder, read, started).map(|()| Answer::Yes)
}

fn tell(started: &Started, is_plain_far: bool, store: &str) {
    println!();
    if let Some(code) = &started.code {
        println!("First start: make the lead on the page that opens, with the code {code}");
    }
    if let Some(fingerprint) = &started.fingerprint {
        println!("Tablets trust it through /trust. Its certificate's SHA-256: {fingerprint}");
    }
    if is_plain_far {
        println!(
            "This is plain HTTP: on other devices the page cannot work offline, keep the screen on or use the camera, \
             and PINs cross the network unencrypted. With `--name kiosk.local` it serves HTTPS."
        );
    }
    println!("Open {}   (the record is in {store}; end with Ctrl-C)", started.address);
}

/// Why a site does not start.
pub fn failure(none: NoSite) -> Failure {
    match none {
        NoSite::Night(ft_app::tonight::NoNight::Trouble(source, trouble)) => Failure::Text(source, trouble),
        NoSite::Store(error) => {
            Failure::plain(error.trouble.code(), error.to_string(), error.trouble.remedy())
        }
        other => {
            let problem = other.problem();
            Failure::plain(problem.code, problem.message, problem.remedy)
        }
    }
}
