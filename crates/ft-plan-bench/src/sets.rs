//! Runs the public sets: our search and proof, and OR-Tools CP-SAT beside them on the same files with the same limit.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use ft_exact::{Known, prove};
use ft_project::{Project, Starts, parse_sch, parse_sm, search};
use serde_json::{Value, json};

/// One engine's answer on one instance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// File name.
    pub instance: String,
    /// `best`, `feasible`, `impossible` or `out-of-time`.
    pub word: String,
    /// End of the best schedule.
    pub ends_at: Option<u32>,
    /// Seconds used.
    pub seconds: f64,
    /// The end that the lags alone ask for.
    pub critical_path: u32,
}

/// What to spend on each instance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// Seconds, for search and proof together.
    Seconds(f64),
    /// Schedules of the search alone, no proof.
    Schedules(u64),
}

/// The `.sm` and `.sch` files of a folder by name, every `step`-th of them.
///
/// # Errors
/// The folder cannot be read.
pub fn instances(folder: &Path, step: usize) -> std::io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let kind = path.extension().map(std::ffi::OsStr::to_ascii_lowercase);
        if kind.is_some_and(|kind| kind == "sm" || kind == "sch") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files.into_iter().step_by(step.max(1)).collect())
}

/// Reads one file by the kind that its name gives.
///
/// # Errors
/// What is wrong with it.
pub fn read(path: &Path) -> Result<Project, String> {
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    if path.extension().is_some_and(|kind| kind.eq_ignore_ascii_case("sm")) {
        parse_sm(&text)
    } else {
        parse_sch(&text)
    }
}

/// Our answer. A schedule that the checker refuses is a panic: it must not be counted.
pub fn ours(path: &Path, project: &Project, limit: Limit) -> Row {
    let begun = Instant::now();
    let (word, starts) = solve(project, limit, begun);
    if let Some(starts) = &starts {
        let problems = project.problems(starts);
        assert!(problems.is_empty(), "{}: {problems:?}", path.display());
    }
    let chain = Project { capacities: Vec::new(), ..project.clone() }.lower_bound();
    Row {
        instance: name(path),
        word: word.to_owned(),
        ends_at: starts.map(|starts| project.ends_at(&starts)),
        seconds: begun.elapsed().as_secs_f64(),
        critical_path: chain.unwrap_or(0),
    }
}

fn solve(project: &Project, limit: Limit, begun: Instant) -> (&'static str, Option<Starts>) {
    let Some(floor) = project.lower_bound() else { return ("impossible", None) };
    let share = |part: f64| {
        let Limit::Seconds(seconds) = limit else { return Duration::MAX };
        Duration::from_secs_f64(seconds * part)
    };
    let over = |part: f64| move || begun.elapsed() >= share(part);
    let word = |ends_at: u32, otherwise| if ends_at <= floor { "best" } else { otherwise };
    if let Limit::Schedules(schedules) = limit {
        let found = search(project, schedules, floor, 1, &|| false);
        return (word(found.ends_at, "feasible"), Some(found.starts));
    }
    if !project.is_plain() {
        return told(prove(project, None, &over(1.0)));
    }
    // A short search gives the proof its bound. Where the proof does not come at once, a longer search gives a better
    // one; then a small project is left to one long proof, which keeps what it has learned, a large one to search.
    let first = search(project, 600, floor, 1, &over(0.5));
    if first.ends_at <= floor {
        return ("best", Some(first.starts));
    }
    let large = project.lengths.len() > 70;
    let (word_now, best) = told(prove(project, Some(&first.starts), &over(if large { 0.3 } else { 0.05 })));
    let best = best.unwrap_or(first.starts);
    if word_now == "best" {
        return ("best", Some(best));
    }
    let searched = match project.lengths.len() {
        0..=40 => 0.15,
        41..=70 => 0.5,
        _ => 1.0,
    };
    let more = search(project, u64::MAX, floor, 2, &over(searched));
    let best = if more.ends_at < project.ends_at(&best) { more.starts } else { best };
    if project.ends_at(&best) <= floor || large {
        return (word(project.ends_at(&best), "feasible"), Some(best));
    }
    let (word_now, best_now) = told(prove(project, Some(&best), &over(1.0)));
    (word_now, best_now.or(Some(best)))
}

fn told(known: Known) -> (&'static str, Option<Starts>) {
    match known {
        Known::Best(starts) => ("best", Some(starts)),
        Known::Impossible => ("impossible", None),
        Known::Stopped(Some(starts)) => ("feasible", Some(starts)),
        Known::Stopped(None) => ("out-of-time", None),
    }
}

fn name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// CP-SAT's answer on one project by the script beside this crate; one worker.
///
/// # Errors
/// Python, the package or the script is not there, or what it prints is not what it should be.
pub fn cp_sat(path: &Path, project: &Project, seconds: f64) -> Result<Row, String> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("cpsat_project.py");
    let input = json!({
        "lengths": project.lengths, "lags": project.lags, "capacities": project.capacities, "uses": project.uses,
        "seconds": seconds,
    });
    let output = run_python(&script, &input)?;
    Ok(Row {
        instance: name(path),
        word: output["word"].as_str().unwrap_or("out-of-time").to_owned(),
        ends_at: output["ends_at"].as_u64().map(|end| end as u32),
        seconds: output["seconds"].as_f64().unwrap_or(0.0),
        critical_path: 0,
    })
}

/// Runs a script with JSON on its standard input and reads JSON from its standard output.
///
/// # Errors
/// As [`cp_sat`].
pub fn run_python(script: &Path, input: &Value) -> Result<Value, String> {
    use std::io::Write as _;
    let mut child = Command::new("python3")
        .arg(script)
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .map_err(|error| format!("python3: {error}"))?;
    let mut stdin = child.stdin.take().ok_or("no standard input")?;
    stdin.write_all(input.to_string().as_bytes()).map_err(|error| error.to_string())?;
    drop(stdin);
    let output = child.wait_with_output().map_err(|error| error.to_string())?;
    serde_json::from_slice(&output.stdout).map_err(|error| format!("{}: {error}", script.display()))
}

/// Sums over rows of one engine.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Summary {
    /// Instances.
    pub count: usize,
    /// Proved best or proved impossible.
    pub closed: usize,
    /// With a schedule.
    pub feasible: usize,
    /// Median seconds.
    pub median_s: f64,
    /// Mean of `ends_at / critical_path - 1` over those with a schedule, percent.
    pub over_critical_path: f64,
}

/// Sums up. `chains` are the critical paths, one for each row.
pub fn summary(rows: &[Row], chains: &[u32]) -> Summary {
    let mut seconds: Vec<f64> = rows.iter().map(|row| row.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let ratio =
        |(row, &chain): (&Row, &u32)| row.ends_at.map(|end| f64::from(end) / f64::from(chain.max(1)) - 1.0);
    let ratios: Vec<f64> = rows.iter().zip(chains).filter_map(ratio).collect();
    Summary {
        count: rows.len(),
        closed: rows.iter().filter(|row| row.word == "best" || row.word == "impossible").count(),
        feasible: ratios.len(),
        median_s: seconds.get(seconds.len() / 2).copied().unwrap_or(0.0),
        over_critical_path: 100.0 * ratios.iter().sum::<f64>() / ratios.len().max(1) as f64,
    }
}
