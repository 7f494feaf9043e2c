//! The benchmark.
//!
//! `ft-plan-bench sets FOLDER [--seconds S | --schedules N] [--every K] [--cp-sat] [--json]` runs a folder of the public
//! formats; `ft-plan-bench nights [--seeds N] [--seconds S] [--cp-sat S] [--still] [--size MxP]
//! [--write FOLDER]` runs nights by seed; `ft-plan-bench wild FROM TO [--cp-sat [--only-impossible]]` odd problems by seed.

mod nights_bench;

use std::path::PathBuf;
use std::process::ExitCode;

use ft_plan_bench::sets::{Limit, Row, cp_sat, instances, ours, read, summary};
use serde_json::json;

struct Options {
    folder: PathBuf,
    limit: Limit,
    every: usize,
    with_cp_sat: bool,
    as_json: bool,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let result =
        match arguments.first().map(String::as_str) {
            Some("sets") => options(&arguments[1..]).and_then(|options| sets(&options)),
            Some("nights") => nights_bench::run(&arguments[1..]),
            Some("wild") => nights_bench::wild_run(&arguments[1..]),
            _ => Err("say `sets FOLDER`, `nights` or `wild FROM TO`; the options are at the top of main.rs"
                .to_owned()),
        };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("{what}");
            ExitCode::from(2)
        }
    }
}

fn options(arguments: &[String]) -> Result<Options, String> {
    let folder = arguments.first().ok_or("which folder?")?;
    let mut options = Options {
        folder: folder.into(),
        limit: Limit::Seconds(1.0),
        every: 1,
        with_cp_sat: false,
        as_json: false,
    };
    let mut rest = arguments[1..].iter();
    while let Some(flag) = rest.next() {
        let mut number =
            || rest.next().and_then(|text| text.parse::<f64>().ok()).ok_or(format!("{flag} needs a number"));
        match flag.as_str() {
            "--seconds" => options.limit = Limit::Seconds(number()?),
            "--schedules" => options.limit = Limit::Schedules(number()? as u64),
            "--every" => options.every = number()? as usize,
            "--cp-sat" => options.with_cp_sat = true,
            "--json" => options.as_json = true,
            other => return Err(format!("{other} is not an option")),
        }
    }
    Ok(options)
}

fn sets(options: &Options) -> Result<(), String> {
    let files = instances(&options.folder, options.every).map_err(|error| error.to_string())?;
    let (mut own, mut peer) = (Vec::new(), Vec::new());
    for path in &files {
        let project = read(path).map_err(|error| format!("{}: {error}", path.display()))?;
        let row = ours(path, &project, options.limit);
        print_row("ours", &row, options.as_json);
        own.push(row);
        if let (true, Limit::Seconds(seconds)) = (options.with_cp_sat, options.limit) {
            let row = cp_sat(path, &project, seconds)?;
            print_row("cp-sat", &row, options.as_json);
            peer.push(row);
        }
    }
    let chains: Vec<u32> = own.iter().map(|row| row.critical_path).collect();
    for (engine, rows) in [("ours", &own), ("cp-sat", &peer)] {
        if !rows.is_empty() {
            print_summary(engine, &summary(rows, &chains), options.as_json);
        }
    }
    for (one, other) in own.iter().zip(&peer) {
        let apart = (one.word == "impossible" && other.ends_at.is_some())
            || (other.word == "impossible" && one.ends_at.is_some());
        let best = one.word == "best" && other.ends_at.is_some_and(|end| Some(end) < one.ends_at);
        if apart || best {
            println!("DISAGREE {one:?} {other:?}");
        }
    }
    Ok(())
}

fn print_row(engine: &str, row: &Row, as_json: bool) {
    if as_json {
        let line = json!({"engine": engine, "instance": row.instance, "word": row.word, "ends_at": row.ends_at, "seconds": row.seconds});
        println!("{line}");
    } else {
        let end = row.ends_at.map_or("-".to_owned(), |end| end.to_string());
        println!("{engine:7} {:16} {:12} {end:>6} {:9.4} s", row.instance, row.word, row.seconds);
    }
}

fn print_summary(engine: &str, sum: &ft_plan_bench::sets::Summary, as_json: bool) {
    if as_json {
        let line = json!({"engine": engine, "count": sum.count, "closed": sum.closed, "feasible": sum.feasible,
            "median_s": sum.median_s, "over_critical_path_percent": sum.over_critical_path});
        println!("{line}");
    } else {
        println!(
            "{engine:7} {} instances, {} closed, {} with a schedule, median {:.4} s, {:.3} % over the critical path",
            sum.count, sum.closed, sum.feasible, sum.median_s, sum.over_critical_path
        );
    }
}
