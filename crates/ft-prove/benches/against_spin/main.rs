//! The prover against SPIN's verifier in one run: `cargo bench -p ft-prove --bench against_spin`.
//!
//! Both are timed without the start of a process: ours in process (median of five), SPIN's search as its
//! verifier reports it, to 10 ms, compiled -O2 with partial-order reduction on; compiling is given apart. Drawn
//! procedures come from seeds that `FULLTRAY_BENCH_SEED` (default 1) moves; those on which SPIN needs less than
//! 0.1 s are passed over. `FULLTRAY_BENCH_COUNT` (default 30) says how many are asked for; 0 leaves SPIN out. `FULLTRAY_BENCH_SPIN_S`
//! (default 60) is where SPIN is stopped; a ratio is then a lower bound. `FULLTRAY_BENCH_CHART` names an SVG file for how
//! it grows. Memory is read before growing is measured, after everything with a stated limit.

mod grows;
mod limits;

use std::path::PathBuf;
use std::time::{Duration, Instant};

use ft_form::promela::Ask;
use ft_form::{Form, json};
use ft_prove::{Limits, check};
use ft_testkit::chance::Chance;
use ft_testkit::kiosk;
use ft_testkit::spin::{self, Said, Search};

/// SPIN's searches are stopped after so many seconds.
fn spin_limit_s() -> u32 {
    u32::try_from(number("FULLTRAY_BENCH_SPIN_S", 60)).unwrap_or(60)
}

fn number(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn main() {
    let (seed, count) = (number("FULLTRAY_BENCH_SEED", 1), number("FULLTRAY_BENCH_COUNT", 30));
    let with_spin = count > 0 && spin::is_there();
    if !with_spin {
        println!("SPIN is left out (not asked for, or not installed)");
    }
    the_ten(with_spin);
    if with_spin {
        drawn(seed, count as usize);
    }
    limits::tables(with_spin);
    memory();
    grows::table();
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn time_check(form: &Form) -> (Duration, &'static str) {
    let limits = Limits::default();
    let text = check(form, &limits).text();
    let time = |_| {
        let begin = Instant::now();
        std::hint::black_box(check(std::hint::black_box(form), &limits));
        begin.elapsed()
    };
    (median((0..5).map(time).collect()), text)
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn told(said: &Said) -> String {
    let verdict = match (said.is_finished, said.is_flawed) {
        (false, _) => "none",
        (true, true) => "flaw",
        (true, false) => "proved",
    };
    format!("{verdict} | {:.0} | {:.2} | {:.1}", said.states, said.search_s, said.compile_s)
}

const HEAD: &str =
    "| procedure | events | ours | ours, ms | SPIN | its states | its search, s | its compiling, s | ratio |
| --- | ---: | --- | ---: | --- | ---: | ---: | ---: | ---: |";

/// One row; gives the ratio if SPIN's own time is long enough to mean something.
fn row(name: &str, form: &Form, said: &Said) -> Option<f64> {
    let (time, text) = time_check(form);
    let spin_s = if said.is_finished { said.search_s } else { f64::from(spin_limit_s()) };
    let ratio = (spin_s >= 0.1).then(|| spin_s / time.as_secs_f64());
    let shown =
        ratio.map_or("-".into(), |ratio| format!("{}{ratio:.0}", if said.is_finished { "" } else { "> " }));
    println!("| {name} | {} | {text} | {:.3} | {} | {shown} |", form.events.len(), ms(time), told(said));
    let agrees = !said.is_finished || said.is_flawed == (text == "flaw");
    assert!(agrees, "{name}: SPIN says otherwise");
    ratio
}

fn the_ten(with_spin: bool) {
    println!("\n## The ten procedures of tests/prover\n\n{HEAD}");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("it is there")
        .map(|entry| entry.expect("readable").path())
        .collect();
    names.sort();
    for path in names.iter().filter(|path| path.extension().is_some_and(|e| e == "json")) {
        let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        if name == "truth" {
            continue;
        }
        compare(&name, &read(&name), with_spin);
    }
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/prover")
}

/// A procedure of tests/prover.
fn read(name: &str) -> Form {
    let text = std::fs::read_to_string(folder().join(format!("{name}.json"))).expect("it is readable");
    json::parse(&text).expect("it is in core form")
}

/// One row, with SPIN's share of it if SPIN is asked.
fn compare(name: &str, form: &Form, with_spin: bool) {
    if with_spin {
        let said = spin::ask(form, Ask::All, Search::Fastest, spin_limit_s(), "row").expect("SPIN runs");
        row(name, form, &said);
    } else {
        let (time, text) = time_check(form);
        println!("| {name} | {} | {text} | {:.3} | - | - | - | - | - |", form.events.len(), ms(time));
    }
}

fn drawn(seed: u64, count: usize) {
    println!("\n## Drawn procedures on which SPIN's search takes 0.1 s or more, seed {seed}\n\n{HEAD}");
    let mut ratios = Vec::new();
    let mut passed_over = 0;
    for number in 0.. {
        let seed = seed * 1_000_000 + number;
        let size = kiosk::large(&mut Chance::new(seed));
        let form = kiosk::form(seed, size);
        let said = spin::ask(&form, Ask::All, Search::Fastest, spin_limit_s(), "drawn").expect("SPIN runs");
        if said.is_finished && said.search_s < 0.1 {
            passed_over += 1;
        } else {
            ratios.extend(row(&format!("kiosk {seed}"), &form, &said));
        }
        if ratios.len() == count {
            break;
        }
    }
    ratios.sort_by(f64::total_cmp);
    let (least, middle) = (ratios[0], ratios[ratios.len() / 2]);
    println!("\nratio: least {least:.0}, median {middle:.0}; {passed_over} others took SPIN less than 0.1 s");
}

/// The most memory that this process has held; Linux only.
fn memory() {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    if let Some(line) = status.lines().find(|line| line.starts_with("VmHWM")) {
        println!("\nmost memory held by this whole run: {}", line.trim_start_matches("VmHWM:").trim());
    }
}
