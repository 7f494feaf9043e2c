//! Cost of a 24-hour, 5-minute history, beside general solvers in the same run; and cost and memory against size.
//!
//! `cargo bench -p ft-bulk` prints a table and writes `bench/runs/bulk-cost.svg`. `SciPy` takes part if `python3`
//! has it, else the run says that it does not. Every method gets the same histories; each figure is the best of
//! five runs of one thread.

use std::hint::black_box;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::Instant;

use ft_bulk::packed::{dose, moments};
use ft_bulk::{Accumulator, DoseTable, Subject};
use ft_chart::{LogLogChart, Series, log_log_svg};
use ft_growth::organisms::Shown;
use ft_growth::{GapRule, RateCurve, SecondaryModel, shipped};
use ode_solvers::{Dopri5, OutputType, System, Vector2};

const STEP_H: f64 = 1.0 / 12.0;
const READINGS: usize = 289;
const LN_N0: f64 = 2.0 * std::f64::consts::LN_10;
const LN_NMAX: f64 = 8.0 * std::f64::consts::LN_10;

fn main() {
    // `cargo test --benches` calls this too; it is for measuring only.
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    let logs = logs(2000);
    let line = curve(SecondaryModel::SquareRoot { b: 0.1439_f64.sqrt() / 9.62, t_min: -3.62 });
    let cardinal = curve(SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 });
    let Shown::Growth { growth, .. } = &shipped()[0].shown else { return };
    println!("{} histories of 24 h at 5 min, one thread, best of five runs\n", logs.len());
    println!("{:<58}{:>12}{:>16}{:>14}", "method", "µs/history", "histories/s", "error log10");
    let exact: Vec<f64> = logs.iter().map(|log| count(exact_dose(log, &line))).collect();
    let fast = ours("Fulltray, square-root line, whole-number sums", &logs, &line, &exact);
    table_only("Fulltray, square-root line, table", &logs, &line, &exact);
    let listeria: Vec<f64> = logs.iter().map(|log| count(exact_dose(log, &growth.curve))).collect();
    ours("Fulltray, two lines (Listeria), sums or table", &logs, &growth.curve, &listeria);
    let cold: Vec<f64> = logs.iter().map(|log| count(exact_dose(log, &cardinal))).collect();
    ours("Fulltray, cardinal temperatures, table", &logs, &cardinal, &cold);
    let rk4 = general("plain RK4, one step each reading", &logs[..400], &exact, |log| rk4_count(log, &line));
    let dopri = general("ode_solvers Dopri5, tolerance 1e-6, whole history", &logs[..200], &exact, |log| {
        dopri_count(log, &line, 1e-6)
    });
    let scipy = scipy(&logs[..20], &exact);
    println!("\nas a ratio to whole-number sums: RK4 {:.0}, Dopri5 {:.0}", rk4 / fast, dopri / fast);
    if let Some(scipy) = scipy {
        println!("as a ratio to whole-number sums: SciPy {:.0}", scipy / fast);
    }
    against_size(&line);
    memory();
}

fn curve(model: SecondaryModel) -> RateCurve {
    RateCurve::new(vec![model]).expect("the parameters give a curve")
}

/// Logs that wander between 1 and 15 °C in whole hundredths, from a fixed seed.
fn logs(count: usize) -> Vec<Vec<i16>> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as i32
    };
    let log = |next: &mut dyn FnMut() -> i32| {
        let mut at = 300 + next() % 700;
        (0..READINGS)
            .map(|_| {
                at = (at + next() % 41 - 20).clamp(100, 1500);
                at as i16
            })
            .collect()
    };
    (0..count).map(|_| log(&mut next)).collect()
}

fn exact_dose(log: &[i16], curve: &RateCurve) -> f64 {
    log.windows(2)
        .map(|pair| curve.dose_of_stretch(f64::from(pair[0]) / 100.0, f64::from(pair[1]) / 100.0, STEP_H))
        .sum()
}

/// log10 count after a dose, from 2 under a ceiling of 8, no lag.
fn count(dose: f64) -> f64 {
    ft_growth::primary::ln_count(LN_N0, LN_NMAX, 1.0, dose) / std::f64::consts::LN_10
}

/// Seconds for each call, best of five runs over the logs.
fn best(logs: &[Vec<i16>], mut each: impl FnMut(&[i16]) -> f64) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        for log in logs {
            black_box(each(black_box(log)));
        }
        best = best.min(start.elapsed().as_secs_f64() / logs.len() as f64);
    }
    best
}

fn print(name: &str, seconds: f64, error: f64) {
    println!("{name:<58}{:>12.3}{:>16.0}{error:>14.1e}", seconds * 1e6, 1.0 / seconds);
}

fn worst(logs: &[Vec<i16>], exact: &[f64], mut each: impl FnMut(&[i16]) -> f64) -> f64 {
    logs.iter().zip(exact).map(|(log, exact)| (each(log) - exact).abs()).fold(0.0, f64::max)
}

fn ours(name: &str, logs: &[Vec<i16>], curve: &RateCurve, exact: &[f64]) -> f64 {
    let table = DoseTable::new(curve);
    let each = |log: &[i16]| moments(log).map_or(0.0, |sums| dose(log, &sums, &table, STEP_H));
    let seconds = best(logs, each);
    print(name, seconds, worst(logs, exact, |log| count(each(log))));
    seconds
}

fn table_only(name: &str, logs: &[Vec<i16>], curve: &RateCurve, exact: &[f64]) {
    let table = DoseTable::new(curve);
    let seconds = best(logs, |log| table.dose(log, STEP_H));
    print(name, seconds, worst(logs, exact, |log| count(table.dose(log, STEP_H))));
}

fn general(name: &str, logs: &[Vec<i16>], exact: &[f64], each: impl Fn(&[i16]) -> f64) -> f64 {
    let seconds = best(logs, &each);
    print(name, seconds, worst(logs, exact, &each));
    seconds
}

/// Temperature along the log at a time in hours.
fn temperature(log: &[i16], hours: f64) -> f64 {
    let place = (hours / STEP_H).clamp(0.0, (log.len() - 1) as f64);
    let index = (place as usize).min(log.len() - 2);
    let share = place - index as f64;
    (f64::from(log[index]) * (1.0 - share) + f64::from(log[index + 1]) * share) / 100.0
}

/// `d ln N / dt` under the ceiling.
fn slope(log: &[i16], curve: &RateCurve, hours: f64, y: f64) -> f64 {
    curve.rate(temperature(log, hours)) * (1.0 - (y - LN_NMAX).exp())
}

fn rk4_count(log: &[i16], curve: &RateCurve) -> f64 {
    let mut y = LN_N0;
    for step in 0..log.len() - 1 {
        let at = step as f64 * STEP_H;
        let k1 = slope(log, curve, at, y);
        let k2 = slope(log, curve, at + STEP_H / 2.0, y + k1 * STEP_H / 2.0);
        let k3 = slope(log, curve, at + STEP_H / 2.0, y + k2 * STEP_H / 2.0);
        let k4 = slope(log, curve, at + STEP_H, y + k3 * STEP_H);
        y += STEP_H / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    y / std::f64::consts::LN_10
}

struct Growing<'a> {
    log: &'a [i16],
    curve: &'a RateCurve,
}

impl System<f64, Vector2<f64>> for Growing<'_> {
    fn system(&self, hours: f64, y: &Vector2<f64>, dy: &mut Vector2<f64>) {
        dy[0] = slope(self.log, self.curve, hours, y[0]);
        dy[1] = 0.0;
    }
}

fn dopri_count(log: &[i16], curve: &RateCurve, tolerance: f64) -> f64 {
    let end = (log.len() - 1) as f64 * STEP_H;
    let start = Vector2::new(LN_N0, 0.0);
    let mut solver = Dopri5::new(Growing { log, curve }, 0.0, end, STEP_H, start, tolerance, tolerance);
    solver.set_output(OutputType::Sparse);
    match solver.integrate() {
        Ok(_) => solver.y_out().last().map_or(f64::NAN, |y| y[0]) / std::f64::consts::LN_10,
        Err(_) => f64::NAN,
    }
}

const SCIPY: &str = "
import sys, time, json
import numpy as np
from scipy.integrate import solve_ivp
logs = json.load(sys.stdin)
step = 1 / 12
n0, nmax = 2 * np.log(10), 8 * np.log(10)
b, tmin = np.sqrt(.1439) / 9.62, -3.62
best, out = 1e9, []
for run in range(3):
    start, out = time.perf_counter(), []
    for log in logs:
        t = np.arange(len(log)) * step
        T = np.array(log) / 100
        f = lambda x, y: [(b * max(np.interp(x, t, T) - tmin, 0)) ** 2 * (1 - np.exp(y[0] - nmax))]
        s = solve_ivp(f, (0, t[-1]), [n0], method='RK45', rtol=1e-6, atol=1e-6, max_step=step)
        out.append(s.y[0, -1] / np.log(10))
    best = min(best, (time.perf_counter() - start) / len(logs))
print(json.dumps([best, out]))
";

/// `SciPy`'s RK45, kept to steps of one reading so that it cannot step over anything.
fn scipy(logs: &[Vec<i16>], exact: &[f64]) -> Option<f64> {
    let run = || -> Option<String> {
        let mut child = Command::new("python3")
            .args(["-c", SCIPY])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .ok()?;
        child.stdin.take()?.write_all(format!("{logs:?}").as_bytes()).ok()?;
        let output = child.wait_with_output().ok()?;
        output.status.success().then(|| String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let Some(text) = run() else {
        println!("SciPy is not here and takes no part");
        return None;
    };
    let numbers: Vec<f64> = text
        .split(|c: char| !(c.is_ascii_digit() || ".eE+-".contains(c)))
        .filter_map(|word| word.parse().ok())
        .collect();
    let (seconds, counts) = numbers.split_first()?;
    let error = counts.iter().zip(exact).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max);
    print("SciPy RK45, rtol 1e-6, max_step one reading", *seconds, error);
    Some(*seconds)
}

/// Cost of one history from a day to a year, as a chart and as figures.
fn against_size(line: &RateCurve) {
    println!("\n{:<12}{:>14}{:>14}{:>14}", "readings", "sums µs", "table µs", "RK4 µs");
    let table = DoseTable::new(line);
    let long: Vec<i16> = logs(366).concat();
    let (mut sums, mut looked_up, mut stepped) = (Vec::new(), Vec::new(), Vec::new());
    for days in [1_usize, 3, 10, 30, 100, 365] {
        let log = vec![long[..=days * 288].to_vec()];
        let by_sums = best(&log, |log| moments(log).map_or(0.0, |m| dose(log, &m, &table, STEP_H)));
        let by_table = best(&log, |log| table.dose(log, STEP_H));
        let by_rk4 = best(&log, |log| rk4_count(log, line));
        println!("{:<12}{:>14.3}{:>14.3}{:>14.1}", log[0].len(), by_sums * 1e6, by_table * 1e6, by_rk4 * 1e6);
        let size = log[0].len() as f64;
        sums.push((size, by_sums * 1e6));
        looked_up.push((size, by_table * 1e6));
        stepped.push((size, by_rk4 * 1e6));
    }
    let series = [
        Series { name: "whole-number sums", points: sums },
        Series { name: "table", points: looked_up },
        Series { name: "plain RK4", points: stepped },
    ];
    let chart = LogLogChart {
        title: "Cost of one history against its length",
        x: "readings in the history",
        y: "µs for each history, one thread",
        series: &series,
    };
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../bench/runs");
    let written = std::fs::create_dir_all(&folder)
        .and_then(|()| std::fs::write(folder.join("bulk-cost.svg"), log_log_svg(&chart)));
    if let Err(why) = written {
        println!("the chart was not written: {why}");
    }
}

/// Peak memory while one history grows from a thousand to a hundred million readings.
fn memory() {
    let subjects = Subject::all(&shipped());
    println!("\n{:<16}{:>16}{:>18}", "readings", "peak memory kB", "million/s");
    for readings in [1_000_u64, 1_000_000, 30_000_000] {
        let start = Instant::now();
        let mut sums = Accumulator::new(&subjects, GapRule::USUAL);
        for number in 0..readings {
            sums.push(number, number as f64 * STEP_H, 3.0 + (number * 7919 % 900) as f64 / 100.0);
        }
        let rate = readings as f64 / start.elapsed().as_secs_f64() / 1e6;
        black_box(sums.finish(String::new()));
        println!("{readings:<16}{:>16}{rate:>18.1}", peak_kb().map_or("unknown".into(), |kb| kb.to_string()));
    }
}

/// Peak resident memory of this process, where the system tells it.
fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
