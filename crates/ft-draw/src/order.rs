//! The order of a procedure: time runs from left to right in layers, each side has a lane, and each arrow tells
//! on hover why it is there. Nothing in it depends on colour, so it prints.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use ft_form::{EventId, EventKind, Form};
use ft_prove::tell::{self, Language};
use ft_prove::{Order, OrderEdge, Reason};

use crate::svg::{escape, wrap};

/// Width of the box of an event, in units of the picture. Source: none, our choice, as the measures below: two lines
/// of 22 letters of 11 units fit a box.
pub const BOX_WIDTH: usize = 150;
const BOX_HEIGHT: usize = 34;
/// From the left edge of a column to that of the next: where a picture can be cut into strips.
pub const COLUMN: usize = 196;
const ROW: usize = 44;
/// From the left edge of the picture to its first column.
pub const MARGIN: usize = 16;
const LANE_HEAD: usize = 22;

/// Where an event's box stands.
#[derive(Debug, Clone, Copy)]
struct Place {
    x: usize,
    y: usize,
}

/// The picture of an order as an SVG document.
///
/// Lanes are in the order in which sides first come in the card; events of no side have a lane of their own.
pub fn svg(form: &Form, order: &Order, language: Language) -> String {
    let layout = Layout::new(form, order);
    let mut out = String::new();
    let (width, height) = (layout.width, layout.height);
    let title = escape(&form.name);
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
         height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"11\">"
    );
    let _ = writeln!(out, "<title>{title}</title>");
    out.push_str(
        "<defs><marker id=\"tip\" viewBox=\"0 0 8 8\" refX=\"8\" refY=\"4\" markerWidth=\"7\" \
         markerHeight=\"7\" orient=\"auto\"><path d=\"M0 0L8 4L0 8z\"/></marker></defs>\n",
    );
    for lane in &layout.lanes {
        draw_lane(&mut out, lane, width, language);
    }
    for edge in &order.edges {
        draw_edge(&mut out, form, edge, layout.places[edge.before], layout.places[edge.after], language);
    }
    for (event, place) in layout.places.iter().enumerate() {
        draw_event(&mut out, form, event, *place, language);
    }
    out.push_str("</svg>\n");
    out
}

struct Lane {
    side: Option<String>,
    top: usize,
    bottom: usize,
}

struct Layout {
    places: Vec<Place>,
    lanes: Vec<Lane>,
    width: usize,
    height: usize,
}

impl Layout {
    fn new(form: &Form, order: &Order) -> Self {
        let layers = layers(form.events.len(), order);
        let mut sides: Vec<Option<String>> = Vec::new();
        for event in &form.events {
            if !sides.contains(&event.side) {
                sides.push(event.side.clone());
            }
        }
        let mut places = vec![Place { x: 0, y: 0 }; form.events.len()];
        let mut lanes = Vec::new();
        let mut top = MARGIN;
        for side in sides {
            let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
            for event in (0..form.events.len()).filter(|&event| form.events[event].side == side) {
                let row = taken.entry(layers[event]).or_insert(0);
                let (x, y) = (MARGIN + layers[event] * COLUMN, top + LANE_HEAD + *row * ROW);
                *row += 1;
                places[event] = Place { x, y };
            }
            let rows = taken.values().copied().max().unwrap_or(0);
            let bottom = top + LANE_HEAD + rows * ROW;
            lanes.push(Lane { side, top, bottom });
            top = bottom + MARGIN;
        }
        let columns = layers.iter().max().map_or(1, |last| last + 1);
        Self { places, lanes, width: 2 * MARGIN + columns * COLUMN, height: top }
    }
}

/// By event: how many events the longest chain before it has.
fn layers(size: usize, order: &Order) -> Vec<usize> {
    let mut layers = vec![0; size];
    // A proved order has no circle, so no chain is longer than there are events.
    for _ in 0..size {
        let mut changed = false;
        for edge in &order.edges {
            if layers[edge.after] < layers[edge.before] + 1 && layers[edge.before] + 1 < size {
                layers[edge.after] = layers[edge.before] + 1;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    layers
}

fn draw_lane(out: &mut String, lane: &Lane, width: usize, language: Language) {
    let name = lane.side.as_deref().unwrap_or(match language {
        Language::En => "shared",
        Language::Es => "común",
    });
    let Lane { top, bottom, .. } = lane;
    let _ = writeln!(
        out,
        "<rect x=\"4\" y=\"{top}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#999\" \
         stroke-dasharray=\"2 4\"/><text x=\"{MARGIN}\" y=\"{}\" font-weight=\"bold\">{}</text>",
        width - 8,
        bottom - top,
        top + 15,
        escape(name)
    );
}

fn draw_edge(out: &mut String, form: &Form, edge: &OrderEdge, from: Place, to: Place, language: Language) {
    let reasons: Vec<String> =
        edge.reasons.iter().map(|reason| tell::reason(form, edge, reason, language)).collect();
    // What the author asked for is dashed, what belongs to one step is thin; the rest is plain.
    let style = match edge.reasons.first() {
        Some(Reason::Asked { .. }) => " stroke-dasharray=\"6 3\"",
        Some(Reason::SameStep) => " stroke-width=\"0.6\"",
        Some(Reason::Enables { .. } | Reason::Protects { .. } | Reason::Kit { .. }) | None => "",
    };
    let (x1, y1) = (from.x + BOX_WIDTH, from.y + BOX_HEIGHT / 2);
    let (x2, y2) = (to.x, to.y + BOX_HEIGHT / 2);
    let bend = COLUMN - BOX_WIDTH;
    let _ = writeln!(
        out,
        "<path d=\"M{x1} {y1}C{} {y1} {} {y2} {x2} {y2}\" fill=\"none\" stroke=\"#000\"{style} \
         marker-end=\"url(#tip)\"><title>{}</title></path>",
        x1 + bend,
        x2.saturating_sub(bend),
        escape(&reasons.join("\n"))
    );
}

fn draw_event(out: &mut String, form: &Form, event: EventId, place: Place, language: Language) {
    let Place { x, y } = place;
    let of = &form.events[event];
    let words = tell::event(form, event, language);
    // An end has round corners, an answer of the world a dashed frame.
    let round = if of.kind == EventKind::End { BOX_HEIGHT / 2 } else { 3 };
    let dashes = if of.nature { " stroke-dasharray=\"4 2\"" } else { "" };
    let _ = write!(
        out,
        "<g><title>{}</title><rect x=\"{x}\" y=\"{y}\" width=\"{BOX_WIDTH}\" height=\"{BOX_HEIGHT}\" \
         rx=\"{round}\" fill=\"#fff\" stroke=\"#000\"{dashes}/>",
        escape(words)
    );
    let lines = wrap(words, 22, 2);
    let first = y + if lines.len() == 1 { 21 } else { 14 };
    for (number, line) in lines.iter().enumerate() {
        let _ = write!(
            out,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
            x + BOX_WIDTH / 2,
            first + number * 14,
            escape(line)
        );
    }
    out.push_str("</g>\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use ft_form::Event;

    /// Two events with an edge, and words that would break a careless picture.
    #[test]
    fn a_picture_has_every_event_and_every_reason_and_is_escaped() {
        let mut form = Form { name: "a < b & c".into(), ..Form::default() };
        for (name, side) in
            [("Take <the> \"door\" & every part of it off, all of it", "left"), ("close", "right")]
        {
            let mut event = Event::new(name, name, EventKind::Do);
            event.side = Some(side.into());
            form.events.push(event);
        }
        let reasons = vec![Reason::Protects { hazard: None, part: None }];
        let edges = vec![OrderEdge { before: 0, after: 1, reasons }];
        let order = Order { edges, is_minimal: true, waits: Vec::new() };
        let picture = svg(&form, &order, Language::En);
        assert_eq!(picture.matches("<g>").count(), 2);
        assert_eq!(picture.matches("could not be finished").count(), 1);
        assert!(picture.contains("<title>a &lt; b &amp; c</title>"));
        assert!(picture.contains(">left</text>") && picture.contains(">right</text>"));
        assert!(!picture.contains("<the>"));
        assert_eq!(picture.matches('<').count(), picture.matches('>').count());
        assert!(picture.contains("…"), "what does not fit is cut");
        assert_eq!(picture, svg(&form, &order, Language::En));
    }
}
