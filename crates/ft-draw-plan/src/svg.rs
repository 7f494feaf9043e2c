//! The timeline as SVG, for screen and paper: no script, no outside font, readable in black and white.

use std::fmt::Write as _;

use ft_night::{Plan, Problem};

use crate::Clock;
use crate::lanes::{Bar, apart, lanes};

const LEFT: f64 = 130.0;
const LANE: f64 = 34.0;
const TOP: f64 = 40.0;
/// A letter's width at this size, with room to spare for wide fonts. Source: none, measured on one.
const LETTER: f64 = 6.4;

/// The plan as an SVG document `width` units wide (at least 400 are used).
///
/// Each bar has a `title`, which screen readers speak and pointers show; sides differ in tint and in the mark at the
/// left edge of the bar, so that colour is never the only sign.
pub fn svg(problem: &Problem, plan: &Plan, clock: Clock, language: &str, width: u32) -> String {
    let lanes = apart(lanes(problem, plan, language));
    let width = f64::from(width.max(400));
    let height = TOP + LANE * lanes.len() as f64 + 10.0;
    let end_s = plan.score.ends_at_s.max(1);
    let x = |at_s: u32| LEFT + (width - LEFT - 10.0) * f64::from(at_s) / f64::from(end_s);
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" lang=\"{}\" font-family=\"sans-serif\" font-size=\"11\">",
        escape(language)
    );
    let _ = writeln!(out, "<title>{}</title>", escape(&problem.name));
    let _ = writeln!(out, "<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>");
    let step_s =
        [60, 120, 300, 600, 900, 1800, 3600].into_iter().find(|&step| x(step) - LEFT >= 45.0).unwrap_or(7200);
    for at_s in (0..=end_s).step_by(step_s as usize) {
        let at = x(at_s);
        let _ = writeln!(
            out,
            "<path d=\"M{at:.1} 24V{height}\" stroke=\"#ccc\"/><text x=\"{at:.1}\" y=\"18\" text-anchor=\"middle\">{}</text>",
            clock.hour(at_s)
        );
    }
    for (index, lane) in lanes.iter().enumerate() {
        let y = TOP + LANE * index as f64;
        let _ = writeln!(
            out,
            "<text x=\"4\" y=\"{:.1}\" font-weight=\"bold\">{}</text>",
            y + 18.0,
            escape(&cut(&lane.name, 18))
        );
        for bar in &lane.bars {
            draw(&mut out, bar, (x(bar.start_s), x(bar.end_s)), y, clock);
        }
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, bar: &Bar, (from, to): (f64, f64), y: f64, clock: Clock) {
    let tints = ["#dbe9f6", "#fde4c8", "#dcefdc", "#f3dcec", "#ece5c5", "#e2e2f5"];
    let tint = bar.side.map_or("#eee", |side| tints[side % tints.len()]);
    let wide = (to - from).max(1.0);
    let label = escape(&bar.label);
    let (begin, end) = (clock.hour(bar.start_s), clock.hour(bar.end_s));
    let _ = write!(
        out,
        "<g><title>{begin} to {end} {label}</title><rect x=\"{from:.1}\" y=\"{y:.1}\" width=\"{wide:.1}\" height=\"26\" fill=\"{tint}\" stroke=\"#333\" stroke-width=\".6\"/>"
    );
    for mark in 0..bar.side.map_or(0, |side| side % 4 + 1) {
        let at = from + 2.0 + 2.5 * mark as f64;
        if at + 2.0 < to {
            let _ = write!(out, "<path d=\"M{at:.1} {:.1}v6\" stroke=\"#333\"/>", y + 2.0);
        }
    }
    let letters = ((wide - 6.0) / LETTER).max(0.0) as usize;
    if letters >= 4 {
        let _ = write!(
            out,
            "<text x=\"{:.1}\" y=\"{:.1}\">{}</text>",
            from + 3.0,
            y + 19.0,
            escape(&cut(shorter(&bar.label, letters), letters))
        );
    }
    out.push_str("</g>\n");
}

/// What fits tells more without what comes before the colon: the machine, as a rule.
fn shorter(label: &str, letters: usize) -> &str {
    match label.split_once(": ") {
        Some((_, rest)) if label.chars().count() > letters => rest,
        _ => label,
    }
}

fn cut(text: &str, letters: usize) -> String {
    if text.chars().count() <= letters {
        return text.to_owned();
    }
    text.chars().take(letters.saturating_sub(1)).chain(['…']).collect()
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0 allows no other control characters, not even escaped.
            control if control.is_control() => out.push(' '),
            other => out.push(other),
        }
    }
    out
}
