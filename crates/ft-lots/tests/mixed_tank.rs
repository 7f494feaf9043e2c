//! A barrel that is drawn and refilled is a mixed tank: in many small draws the first lot's share falls as
//! `exp(-V / V0)`, and two vessels in a row follow their differential equations.

mod kit;

use std::process::Command;

use ft_lots::Books;
use kit::{at, blended, received, served};

/// 5 L of lot A in the barrel, 5 L of lot B in the hopper that feeds it and is fed with lot C; `litres` served in draws
/// of `draw`. Gives the litres of A, B and C in the barrel.
fn serve(litres: f64, draw: f64) -> [f64; 3] {
    let mut books = Books::new();
    let mut order = 0;
    let mut tell = |fact| {
        order += 1;
        books.apply(&at(order, order as f64 / 3600.0, fact));
    };
    for lot in ["A", "B", "C"] {
        tell(received(lot, 1000.0, None));
    }
    tell(blended("A", "m/barrel", 5.0));
    tell(blended("B", "m/hopper", 5.0));
    for _ in 0..(litres / draw).round() as usize {
        tell(served("m/barrel", draw));
        tell(blended("m/hopper", "m/barrel", draw));
        tell(blended("C", "m/hopper", draw));
    }
    let of = |lot: &str| {
        let portions = books.now().portions("m/barrel").expect("there is a barrel");
        portions.filter(|portion| portion.lot == lot).map(|portion| portion.litres).sum::<f64>()
    };
    ["A", "B", "C"].map(of)
}

#[test]
fn draws_of_any_size_follow_the_closed_form() {
    // Each draw of v out of V0 leaves the share 1 - v/V0.
    for (draw, count) in [(0.5, 20), (0.25, 40), (1.0, 3)] {
        let [a, ..] = serve(draw * f64::from(count), draw);
        let expected = 5.0 * (1.0 - draw / 5.0_f64).powi(count);
        assert!((a - expected).abs() < 1e-12, "{a}, expected {expected}");
    }
    // In the limit of small draws, exp(-V/V0); the error falls with the draw, at half of v/V0 times V/V0 at most.
    for draw in [0.1, 0.01] {
        let [a, ..] = serve(10.0, draw);
        let limit = 5.0 * (-10.0_f64 / 5.0).exp();
        let relative = (a - limit).abs() / limit;
        assert!(relative < 2.0 * draw / 5.0 * 0.51 + 1e-9, "draws of {draw}: {a}, limit {limit}");
    }
}

#[test]
fn two_vessels_in_a_row_follow_their_differential_equations() {
    let python = std::env::var("FULLTRAY_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let program = "
import numpy as np
from scipy.integrate import solve_ivp
def flow(x, y):
    a, b, hb = y            # A and B in the barrel, B in the hopper; x is litres served, 5 L in each
    return [-a/5, hb/5 - b/5, -hb/5]
s = solve_ivp(flow, (0, 10), [5, 0, 5], method='DOP853', rtol=1e-12, atol=1e-12)
a, b, hb = s.y[:, -1]
print(a, b, 5 - a - b)
";
    let Ok(output) = Command::new(&python).args(["-c", program]).output() else {
        println!("SKIPPED: there is no {python}");
        return;
    };
    if !output.status.success() {
        println!("SKIPPED: {python} has no scipy: {}", String::from_utf8_lossy(&output.stderr));
        return;
    }
    let text = String::from_utf8(output.stdout).expect("numbers");
    let expected: Vec<f64> = text.split_whitespace().map(|word| word.parse().expect("a number")).collect();
    // Draws of v are the equations in steps of v: the difference halves with v, so Richardson's extrapolation of two
    // sizes has an error of the order of v squared.
    let (coarse, fine) = (serve(10.0, 0.02), serve(10.0, 0.01));
    for (index, expected) in expected.into_iter().enumerate() {
        let found = 2.0 * fine[index] - coarse[index];
        assert!((found - expected).abs() < 1e-4 * 5.0, "lot {index}: {found}, scipy says {expected}");
    }
}
