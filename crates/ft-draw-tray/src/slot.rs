//! One slot: number, code, outline, name, and its state in line, mark and word.

use std::fmt::Write as _;

use crate::layout::{CELL_HEIGHT, CELL_WIDTH};
use crate::text::{escape, wrap};
use crate::{Slot, State};

/// Deep blue-green, 7.9 : 1 on white. Source: none, our choice, for the colour of deep water.
const ACCENT: &str = "#0b5563";
const INK: &str = "#111";

/// How a state is drawn.
struct Style {
    line: &'static str,
    frame: &'static str,
    fill: &'static str,
    mark: &'static str,
}

fn style(state: State) -> Style {
    match state {
        State::Empty => Style {
            line: "stroke=\"#111\" stroke-dasharray=\"4 3\"",
            frame: "stroke=\"#777\" stroke-width=\"0.8\"",
            fill: "none",
            mark: "",
        },
        State::Filled => Style {
            line: "stroke=\"#0b5563\"",
            frame: "stroke=\"#0b5563\" stroke-width=\"1.6\"",
            fill: "#d9ecee",
            mark: "<path d=\"M-5 0L-1.5 4L5.5 -4.5\" fill=\"none\" stroke=\"#0b5563\" stroke-width=\"2.4\"/>",
        },
        State::Missing => Style {
            line: "stroke=\"#111\" stroke-dasharray=\"2 3\"",
            frame: "stroke=\"#111\" stroke-width=\"4\"",
            fill: "none",
            mark: "<path d=\"M-5 -5L5 5M-5 5L5 -5\" fill=\"none\" stroke=\"#111\" stroke-width=\"3\"/>",
        },
        State::Spare => Style {
            line: "stroke=\"#0b5563\"",
            frame: "stroke=\"#0b5563\" stroke-width=\"1.6\" stroke-dasharray=\"9 3\"",
            fill: "#d9ecee",
            mark: "<path d=\"M-5.5 0H5.5M0 -5.5V5.5\" fill=\"none\" stroke=\"#0b5563\" stroke-width=\"2.4\"/>",
        },
        State::Fitted => Style {
            line: "stroke=\"#777\" stroke-dasharray=\"1 3\"",
            frame: "stroke=\"#777\" stroke-width=\"0.8\"",
            fill: "none",
            mark: "<path d=\"M0 5V-5M-4 -1L0 -5L4 -1\" fill=\"none\" stroke=\"#111\" stroke-width=\"2\"/>",
        },
    }
}

/// A slot with its upper left corner at (`left`, `top`).
pub(crate) fn draw(slot: &Slot, (left, top): (f64, f64), language: &str) -> String {
    let style = style(slot.state);
    let (number, state) = (slot.number, slot.state);
    let mut out = String::new();
    let _ = write!(
        out,
        "<g id=\"slot-{number}\" role=\"img\" aria-labelledby=\"slot-{number}-title slot-{number}-state\" \
         data-number=\"{number}\" data-state=\"{}\" data-part=\"{}\" data-nth=\"{}\" data-of=\"{}\" data-slot=\"{}\"",
        state.name(),
        escape(&slot.part),
        slot.nth.0,
        slot.nth.1,
        escape(&slot.code),
    );
    if let Some(side) = &slot.side {
        let _ = write!(out, " data-side=\"{}\"", escape(side));
    }
    let _ = write!(
        out,
        " transform=\"translate({left} {top})\"><title id=\"slot-{number}-title\">{}</title>\
         <desc id=\"slot-{number}-state\">{}</desc>",
        escape(&said(slot, language)),
        state.word(language),
    );
    let (wide, high) = (CELL_WIDTH - 6.0, CELL_HEIGHT - 6.0);
    let _ = write!(
        out,
        "<rect x=\"3\" y=\"3\" width=\"{wide}\" height=\"{high}\" rx=\"8\" fill=\"#fff\" {}/>",
        style.frame
    );
    let _ = write!(
        out,
        "<text x=\"10\" y=\"19\" font-size=\"13\" font-weight=\"bold\" fill=\"{INK}\">{number}</text>"
    );
    if !slot.code.is_empty() {
        let _ = write!(
            out,
            "<text x=\"{}\" y=\"19\" font-size=\"10\" fill=\"{ACCENT}\">{}</text>",
            18 + 9 * number.to_string().len(),
            escape(&slot.code)
        );
    }
    if !style.mark.is_empty() {
        let _ = write!(out, "<g transform=\"translate({} 14)\">{}</g>", CELL_WIDTH - 15.0, style.mark);
    }
    let _ = write!(
        out,
        "<g transform=\"translate({} 47) scale({:.2})\" fill=\"{}\" stroke-width=\"{:.2}\" {}>{}</g>",
        CELL_WIDTH / 2.0,
        slot.scale,
        style.fill,
        1.5 / slot.scale,
        style.line,
        slot.outline.shape(),
    );
    words(&mut out, slot, language);
    out.push_str("</g>\n");
    out
}

/// Name, which of how many, and the state in a word.
fn words(out: &mut String, slot: &Slot, language: &str) {
    let middle = CELL_WIDTH / 2.0;
    let lines = wrap(&named(slot), 16, 3);
    let first = if lines.len() == 3 { 82.0 } else { 88.0 };
    for (index, line) in lines.iter().enumerate() {
        let _ = write!(
            out,
            "<text x=\"{middle}\" y=\"{}\" font-size=\"10.5\" text-anchor=\"middle\" fill=\"{INK}\">{}</text>",
            first + 12.0 * index as f64,
            escape(line)
        );
    }
    let weight = if slot.state == State::Missing { " font-weight=\"bold\"" } else { "" };
    let _ = write!(
        out,
        "<text x=\"{middle}\" y=\"{}\" font-size=\"9\" text-anchor=\"middle\" fill=\"{INK}\"{weight}>{}</text>",
        CELL_HEIGHT - 9.0,
        slot.state.word(language)
    );
}

fn named(slot: &Slot) -> String {
    match slot.nth {
        (_, 1) => slot.label.clone(),
        (which, of) => format!("{} {which}/{of}", slot.label),
    }
}

/// What a screen reader says of the slot before its state.
fn said(slot: &Slot, language: &str) -> String {
    let mut said = format!("{}: {}", slot.number, slot.label);
    if let (which, of @ 2..) = slot.nth {
        let between = if language == "es" { "de" } else { "of" };
        let _ = write!(said, ", {which} {between} {of}");
    }
    if let Some(side) = &slot.side {
        let _ = write!(said, ", {side}");
    }
    said
}
