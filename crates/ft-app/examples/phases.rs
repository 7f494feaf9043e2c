//! Where the time of `check` and `order` goes, phase by phase: `cargo run --release -p ft-app --example phases`.
//!
//! Takes machine files (default: all of `demo/`); prints for the first variant of each the median of some runs in
//! milliseconds, in one thread.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use ft_prove::{Limits, check, order};

fn main() {
    let mut files: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    if files.is_empty() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
        files = std::fs::read_dir(demo)
            .expect("the demo is there")
            .map(|entry| entry.expect("it is readable").path())
            .filter(|path| path.to_string_lossy().ends_with(".machine.kdl"))
            .collect();
        files.sort();
    }
    println!("| file | events | read | compile | check | states | order | minimal |");
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | --- |");
    for path in files {
        row(&path);
    }
}

fn row(path: &Path) {
    let text = std::fs::read_to_string(path).expect("the file is readable");
    let (file, problems) = ft_compile::read(&text);
    assert!(!ft_compile::has_errors(&problems), "{}: {problems:?}", path.display());
    let variant = ft_compile::variants(&file, 0).swap_remove(0);
    let compile = || ft_compile::compile(&file, 0, &variant, 2).expect("it compiles");
    let (form, limits) = (compile().form, Limits::default());
    let states = match check(&form, &limits) {
        ft_prove::Verdict::Proved(proof) => proof.states,
        _ => 0,
    };
    let is_minimal = order(&form, &limits).map(|order| order.is_minimal);
    println!(
        "| {} | {} | {:.2} | {:.2} | {:.2} | {states} | {:.1} | {} |",
        path.file_name().unwrap_or_default().to_string_lossy(),
        form.events.len(),
        time(31, || drop(ft_compile::read(&text))),
        time(31, || drop(compile())),
        time(31, || drop(check(&form, &limits))),
        time(5, || drop(order(&form, &limits))),
        is_minimal.map_or("none".into(), |is_minimal| is_minimal.to_string()),
    );
}

/// Median milliseconds.
fn time(runs: usize, work: impl Fn()) -> f64 {
    let mut times: Vec<Duration> = (0..runs)
        .map(|_| {
            let begin = Instant::now();
            work();
            begin.elapsed()
        })
        .collect();
    times.sort_unstable();
    times[runs / 2].as_secs_f64() * 1e3
}
