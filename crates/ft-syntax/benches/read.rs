//! Time to read texts, ours and the `kdl` crate's side by side: `cargo bench -p ft-syntax`.
//!
//! Each text is read five times by each reader in turn and the least time is shown. Numbers of another run
//! or machine do not compare; the ratio, per byte, does. Of noise the `kdl` crate gets only 1,000
//! bytes: on 4,000 of some it overflows the stack and ends the process.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use ft_syntax::{parse, tidy};

const ROUNDS: usize = 5;

fn main() {
    println!(
        "{:<34} {:>9} {:>10} {:>10} {:>8}  problems, ours / kdl",
        "text", "bytes", "ours", "kdl", "ratio"
    );
    for steps in [100, 1_000, 10_000] {
        let text = machine(steps);
        compare(&format!("machine of {steps} steps"), &text, &text);
        let time = least(|| drop(tidy(&text)));
        println!("{:<34} {:>9} {:>10.1?}", "  tidy", text.len(), time);
    }
    let broken = machine(1_000)
        .replace("Step 10\" each-side", "Step 10\" count=20s")
        .replace("Step 900\" each-side", "Step 900\" count=20s");
    compare("1000 steps, two bad numbers", &broken, &broken);
    for (name, make) in NOISES {
        let (whole, part) = (make(10_000_000), make(1_000));
        compare(&format!("noise, {name}"), &whole, &part);
    }
}

/// Shows the times of both on texts that may differ in length.
fn compare(name: &str, ours: &str, theirs: &str) {
    let (mut we_find, mut they_find) = (0, 0);
    let our_time = least(|| we_find = parse(ours).problems.len());
    let their_time = least(|| {
        they_find = kdl::KdlDocument::parse_v2(theirs).err().map_or(0, |error| error.diagnostics.len());
    });
    let ratio =
        (their_time.as_secs_f64() / theirs.len() as f64) / (our_time.as_secs_f64() / ours.len() as f64);
    let part =
        if theirs.len() < ours.len() { format!(" (of {} bytes)", theirs.len()) } else { String::new() };
    println!(
        "{name:<34} {:>9} {our_time:>10.1?} {their_time:>10.1?} {ratio:>7.1}x  {we_find} / {they_find}{part}",
        ours.len()
    );
}

fn least(mut work: impl FnMut()) -> Duration {
    (0..ROUNDS)
        .map(|_| {
            let begin = Instant::now();
            work();
            begin.elapsed()
        })
        .min()
        .unwrap_or_default()
}

/// An invented machine file, as long as wanted.
fn machine(steps: usize) -> String {
    let mut text = String::from("fulltray 1\nprocedure \"closing\" {\n");
    for step in 0..steps {
        // Writing to a string cannot fail.
        let _ = write!(
            text,
            "    // part of the take-down\n    step \"Step {step}\" each-side at=\"front\" uses=\"bucket\" time=\"20 s\" {{\n        \
             say    \"Hold a clean bucket under the valve, open it, and wait.\"\n        \
             say es \"Ponga un cubo limpio bajo la válvula, ábrala y espere.\"\n        \
             open \"draw {step}\"\n        pour \"barrel\" into=\"bucket\" amount=\"5 L\"\n        \
             wait until=\"nothing more runs out\" about=\"90 s\"\n    }}\n"
        );
    }
    text + "}\n"
}

type Noise = (&'static str, fn(usize) -> String);

const NOISES: [Noise; 5] = [
    ("random letters", |bytes| random(bytes, char::from)),
    ("random signs", |bytes| {
        random(bytes, |byte| char::from(b" \n\"#{}/\\=;()a1*-"[usize::from(byte % 16)]))
    }),
    ("opening braces", |bytes| "a{".repeat(bytes / 2)),
    ("quotes", |bytes| "\"".repeat(bytes)),
    ("values without end", |bytes| "n ".to_owned() + &"1 ".repeat(bytes / 2)),
];

/// The same letters each time: a linear congruential generator (constants of Knuth's MMIX).
fn random(bytes: usize, letter: fn(u8) -> char) -> String {
    let mut state = 1_u64;
    let mut text = String::with_capacity(bytes + 1);
    while text.len() < bytes {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        text.push(letter((state >> 56) as u8));
    }
    text
}
