//! The prover against SPIN's verifier in one run: `cargo bench -p ft-prove --bench against_spin`.
//!
//! Both are timed without the start of a process: ours in process (median of five), SPIN's search as its
//! verifier reports it, to 10 ms, compiled -O2 with partial-order reduction on; compiling is given apart. Drawn
//! procedures come from seeds that `FULLTRAY_BENCH_SEED` (default 1) moves; those on which SPIN needs less than
//! 0.1 s are passed over. `FULLTRAY_BENCH_COUNT` (default 30) says how many are asked for; 0 leaves SPIN out. `FULLTRAY_BENCH_SPIN_S`
//! (default 60) is where SPIN is stopped; a ratio is then a lower bound. `FULLTRAY_BENCH_CHART` names an SVG file for how
//! it grows.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use ft_chart::{LogLogChart, Series, log_log_svg};
use ft_form::promela::Ask;
use ft_form::walk::State;
use ft_form::{Form, json};
use ft_prove::{Limits, check, live, order, repair};
use ft_testkit::chance::Chance;
use ft_testkit::kiosk::{self, Size};
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
    growth();
    large();
    memory();
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
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/prover");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("it is there")
        .map(|entry| entry.expect("readable").path())
        .collect();
    names.sort();
    for path in names.iter().filter(|path| path.extension().is_some_and(|e| e == "json")) {
        let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        if name == "truth" {
            continue;
        }
        let text = std::fs::read_to_string(path).expect("it is readable");
        let form = json::parse(&text).expect("it is in core form");
        if with_spin {
            let said = spin::ask(&form, Ask::All, Search::Fastest, spin_limit_s(), &name).expect("SPIN runs");
            row(&name, &form, &said);
        } else {
            let (time, text) = time_check(&form);
            println!("| {name} | {} | {text} | {:.3} | - | - | - | - | - |", form.events.len(), ms(time));
        }
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

/// Draws how the time of a check grows: each series is named, and has a size and milliseconds for each of its forms.
fn chart(path: &str) {
    let base = Size { sides: 2, parts: 3, rinses: 2, people: 2, is_loose: true };
    let timed = |sizes: Vec<Size>| -> Vec<(f64, f64)> {
        let forms = sizes.into_iter().map(|size| kiosk::whole(1, size));
        forms.map(|form| (form.events.len() as f64, ms(time_check(&form).0))).collect()
    };
    let by_steps = [(1, 0), (2, 1), (3, 2), (4, 3), (5, 5), (6, 6)];
    let sides = |is_loose| (1..=4).map(|sides| Size { sides, is_loose, ..base }).collect();
    let steps = by_steps.map(|(parts, rinses)| Size { parts, rinses, ..base }).to_vec();
    let people = (1..=6).map(|people| Size { people, ..base });
    let by_people = people.map(|size| (size.people as f64, ms(time_check(&kiosk::whole(1, size)).0)));
    let series = [
        Series { name: "1 to 4 sides, in a line", points: timed(sides(false)) },
        Series { name: "1 to 4 sides, loose", points: timed(sides(true)) },
        Series { name: "2 sides, longer", points: timed(steps) },
        Series { name: "1 to 6 people (across)", points: by_people.collect() },
    ];
    let svg = log_log_svg(&LogLogChart {
        title: "How check grows",
        x: "events of the form; of the last line, people",
        y: "check, ms",
        series: &series,
    });
    std::fs::write(path, svg).unwrap_or_else(|error| panic!("{path}: {error}"));
}

fn growth() {
    if let Ok(path) = std::env::var("FULLTRAY_BENCH_CHART") {
        chart(&path);
    }
    println!("\n## How it grows (no mistake planted)\n");
    println!("| sides | people | loose | events | verdict | states | check, ms | order, ms |");
    println!("| ---: | ---: | --- | ---: | --- | ---: | ---: | ---: |");
    let base = Size { sides: 2, parts: 3, rinses: 2, people: 2, is_loose: true };
    let mut sizes = Vec::new();
    for is_loose in [false, true] {
        sizes.extend((1..=4).map(|sides| Size { sides, is_loose, ..base }));
        // From about 25 to 80 events a side.
        sizes.extend([(1, 0), (2, 1), (4, 3), (5, 5), (6, 6)].map(|(parts, rinses)| Size {
            parts,
            rinses,
            is_loose,
            ..base
        }));
        sizes.extend((1..=6).map(|people| Size { people, is_loose, ..base }));
    }
    for size in sizes {
        let form = kiosk::whole(1, size);
        let (time, text) = time_check(&form);
        let states = match check(&form, &Limits::default()) {
            ft_prove::Verdict::Proved(proof) => proof.states,
            ft_prove::Verdict::Flaw(_) => 0,
            ft_prove::Verdict::TooLarge(covered) => covered.states,
        };
        let begin = Instant::now();
        let ordered = order(&form, &Limits::default());
        let shown = ordered.map_or("none".into(), |_| format!("{:.1}", ms(begin.elapsed())));
        let Size { sides, people, is_loose, .. } = size;
        let events = form.events.len();
        println!(
            "| {sides} | {people} | {is_loose} | {events} | {text} | {states} | {:.2} | {shown} |",
            ms(time)
        );
    }
}

fn large() {
    println!("\n## Three sides, everything shared, four people, loose\n");
    for (parts, rinses) in [(3, 2), (4, 4)] {
        let size = Size { sides: 3, parts, rinses, people: 4, is_loose: true };
        let form = kiosk::whole(3, size);
        let (time, text) = time_check(&form);
        println!("- {} events: {text} in {:.2} ms", form.events.len(), ms(time));
        let begin = Instant::now();
        let ordered = order(&form, &Limits::default());
        let minimal = ordered.map(|order| order.is_minimal);
        println!("- its order in {:.1} ms, minimal: {minimal:?}", ms(begin.elapsed()));
        let state = State::start(&form);
        let each = |ask: &dyn Fn(usize)| {
            let begin = Instant::now();
            (0..20).for_each(|_| (0..form.events.len()).for_each(ask));
            begin.elapsed().as_secs_f64() * 1e6 / (20 * form.events.len()) as f64
        };
        let may = each(&|event| drop(std::hint::black_box(live::may(&form, &state, event))));
        let what_if = each(&|event| drop(std::hint::black_box(live::what_if(&form, &state, event))));
        println!("- may {may:.2} µs, what_if {what_if:.2} µs");
    }
    let mut slowest = Duration::ZERO;
    let mut repaired = 0;
    for seed in 0..60 {
        let form = kiosk::form(9_000_000 + seed, kiosk::large(&mut Chance::new(seed)));
        if check(&form, &Limits::default()).flaws().is_empty() {
            continue;
        }
        let begin = Instant::now();
        std::hint::black_box(repair(&form, &Limits::default()));
        slowest = slowest.max(begin.elapsed());
        repaired += 1;
    }
    println!("- repair (or what is missing) of {repaired} flawed drawn ones: slowest {:.1} ms", ms(slowest));
}

/// The most memory that this process has held; Linux only.
fn memory() {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    if let Some(line) = status.lines().find(|line| line.starts_with("VmHWM")) {
        println!("\nmost memory held by this whole run: {}", line.trim_start_matches("VmHWM:").trim());
    }
}
