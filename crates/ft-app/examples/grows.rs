//! How reading, compiling and proving grow with the number of steps, on synthetic machines:
//! `cargo run --release -p ft-app --example grows`.
//!
//! Each machine has one part for each step, every part behind the one before it, on one side or on two.

use std::fmt::Write as _;
use std::time::Instant;

use ft_app::{Choice, Source, prepare};
use ft_prove::Limits;

fn machine(steps: usize, sides: usize) -> String {
    let per = if sides > 1 { " per=\"side\"" } else { "" };
    let each = if sides > 1 { " each-side" } else { "" };
    let mut text = String::from("fulltray 1\nmachine \"synthetic\" {\n    sink \"sink\" room=\"40 L\"\n");
    if sides > 1 {
        text.push_str("    side \"left\"\n    side \"right\"\n");
    }
    let count = steps / sides;
    for part in 0..count {
        let behind = if part == 0 { String::new() } else { format!(" behind=\"part {}\"", part - 1) };
        let _ = writeln!(text, "    part \"part {part}\" material=\"plastic\"{per}{behind}");
    }
    text.push_str("}\nprocedure \"closing\" {\n");
    for part in 0..count {
        let _ = writeln!(text, "    step \"Part {part} off\"{each} {{ take-off \"part {part}\"; }}");
    }
    text.push_str("}\n");
    text
}

fn main() {
    println!(
        "{:>6} {:>5} {:>7} {:>9} {:>9} {:>8}  verdict",
        "steps", "sides", "events", "read ms", "prove ms", "states"
    );
    for (steps, sides) in
        [(10, 1), (50, 1), (100, 1), (100, 2), (200, 2), (500, 1), (500, 2), (1000, 1), (1000, 2)]
    {
        let source = Source { name: "synthetic".into(), text: machine(steps, sides) };
        let began = Instant::now();
        let forms = prepare(&source, &Choice::default()).expect("the machine makes sense");
        let read = began.elapsed();
        let began = Instant::now();
        let view = ft_app::check::check(&forms.prepared[0], &Limits::default(), "en");
        println!(
            "{steps:>6} {sides:>5} {:>7} {:>9.1} {:>9.1} {:>8}  {}",
            view.size.0,
            read.as_secs_f64() * 1e3,
            began.elapsed().as_secs_f64() * 1e3,
            view.states,
            view.verdict
        );
    }
}
