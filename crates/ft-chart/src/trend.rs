//! A trend as a small picture beside a number: the line, its limits, and where nobody knows.

use std::fmt::Write as _;

use crate::axis::{Scale, label, thinned};
use crate::svg;

/// What a small trend shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What it is, for readers that cannot see it.
    pub title: String,
    /// Unit of the values.
    pub unit: String,
    /// Place along the picture and value, in order; `None` begins a gap, which lasts until the next value.
    pub points: Vec<(f64, Option<f64>)>,
    /// The left end.
    pub from: f64,
    /// The right end.
    pub to: f64,
    /// Words at both ends.
    pub ends: (String, String),
    /// Limits, drawn dashed.
    pub limits: Vec<f64>,
    /// The word for a gap.
    pub gap: String,
}

const WIDTH: u32 = 320;
const HEIGHT: u32 = 96;
const LEFT: f64 = 40.0;
const RIGHT: f64 = 312.0;
const TOP: f64 = 10.0;
const BOTTOM: f64 = 76.0;
/// Pieces of a line that keep each their lowest and highest point.
const PIECES: usize = 120;

/// The picture as SVG. A gap is an area with dots and its word, never a line across it.
pub fn trend(trend: &Trend) -> String {
    let known: Vec<f64> = trend.points.iter().filter_map(|(_, value)| *value).collect();
    let all = || known.iter().chain(&trend.limits).copied().filter(|value| value.is_finite());
    let (low, high) =
        all().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    let (low, high) = if low <= high { (low, high) } else { (0.0, 1.0) };
    let spare = ((high - low) / 12.0).max(0.05);
    let x = Scale::new(trend.from, trend.to, LEFT, RIGHT);
    let y = Scale::new(low - spare, high + spare, BOTTOM, TOP);
    let mut out = svg::open(WIDTH, HEIGHT, &trend.title, &described(trend, &known));
    let axis = "stroke=\"currentColor\" stroke-width=\"1\"";
    out.push_str(&svg::line((LEFT, BOTTOM), (RIGHT, BOTTOM), axis));
    for limit in &trend.limits {
        let at = y.place(*limit);
        let dashed = "stroke=\"currentColor\" stroke-width=\"1.5\" stroke-dasharray=\"6 4\"";
        out.push_str(&svg::line((LEFT, at), (RIGHT, at), dashed));
        out.push_str(&svg::text(LEFT - 4.0, at + 4.0, "end", &label(*limit)));
    }
    for (begin, end) in gaps(trend) {
        let (left, right) = (x.place(begin).max(LEFT), x.place(end).min(RIGHT));
        let area = [(left, TOP), (right, TOP), (right, BOTTOM), (left, BOTTOM)];
        let look =
            "fill=\"currentColor\" fill-opacity=\"0.08\" stroke=\"currentColor\" stroke-dasharray=\"1 4\"";
        out.push_str(&svg::polygon(&area, look));
        if right - left > 48.0 {
            out.push_str(&svg::text(f64::midpoint(left, right), TOP + 14.0, "middle", &trend.gap));
        }
    }
    for piece in pieces(trend) {
        let places: Vec<(f64, f64)> =
            thinned(&piece, PIECES).iter().map(|(at, value)| (x.place(*at), y.place(*value))).collect();
        if let [only] = places[..] {
            let _ = writeln!(out, "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2\"/>", only.0, only.1);
        } else {
            out.push_str(&svg::polyline(&places, "stroke=\"currentColor\" stroke-width=\"2\""));
        }
    }
    out.push_str(&svg::text(LEFT, f64::from(HEIGHT) - 6.0, "start", &trend.ends.0));
    out.push_str(&svg::text(RIGHT, f64::from(HEIGHT) - 6.0, "end", &trend.ends.1));
    out.push_str("</svg>\n");
    out
}

fn described(trend: &Trend, known: &[f64]) -> String {
    let gaps = gaps(trend).len();
    let ends = known.iter().copied().fold(None, |ends: Option<(f64, f64)>, value| {
        Some(ends.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
    });
    let Some((low, high)) = ends else { return trend.gap.clone() };
    let last = known.last().copied().unwrap_or(high);
    let unit = &trend.unit;
    format!("{} … {} {unit}; {} {unit}; {}: {gaps}", label(low), label(high), label(last), trend.gap)
}

/// Where nobody knows: from each gap's beginning to the next value, or to the end.
fn gaps(trend: &Trend) -> Vec<(f64, f64)> {
    let mut gaps = Vec::new();
    let mut begun = None;
    for (at, value) in &trend.points {
        match (value, begun) {
            (None, None) => begun = Some(*at),
            (Some(_), Some(begin)) => {
                gaps.push((begin, *at));
                begun = None;
            }
            (None, Some(_)) | (Some(_), None) => {}
        }
    }
    gaps.extend(begun.map(|begin| (begin, trend.to)));
    gaps
}

/// The line, broken at each gap.
fn pieces(trend: &Trend) -> Vec<Vec<(f64, f64)>> {
    let parts = trend.points.split(|(_, value)| value.is_none());
    let known = |part: &[(f64, Option<f64>)]| -> Vec<(f64, f64)> {
        part.iter().filter_map(|(at, value)| Some((*at, (*value)?))).filter(|(_, v)| v.is_finite()).collect()
    };
    parts.map(known).filter(|piece| !piece.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Trend {
        let mut points: Vec<(f64, Option<f64>)> =
            (0..40).map(|i| (f64::from(i) / 4.0 - 24.0, Some(3.0 + f64::from(i % 3) / 10.0))).collect();
        points.push((-14.0, None));
        points.extend((0..20).map(|i| (f64::from(i) / 4.0 - 6.0, Some(4.0))));
        let ends = ("-24 h".to_owned(), "now".to_owned());
        let (title, unit, gap) = ("cold < room".to_owned(), "°C".to_owned(), "gap".to_owned());
        Trend { title, unit, points, from: -24.0, to: 0.0, ends, limits: vec![5.0], gap }
    }

    #[test]
    fn a_gap_is_an_area_and_no_line_goes_across_it() {
        let svg = trend(&example());
        assert_eq!(svg.matches("<polyline").count(), 2);
        assert_eq!(svg.matches("<polygon").count(), 1);
        assert!(
            svg.contains(">gap<") && svg.contains("cold &lt; room") && svg.contains("3 … 4 °C; 4 °C; gap: 1")
        );
        assert_eq!(svg, trend(&example()), "the same numbers give the same bytes");
    }

    #[test]
    fn every_input_gives_a_picture() {
        let none = Trend { points: Vec::new(), limits: Vec::new(), ..example() };
        assert!(trend(&none).ends_with("</svg>\n"));
        let open =
            Trend { points: vec![(-3.0, Some(f64::NAN)), (-2.0, Some(4.0)), (-1.0, None)], ..example() };
        let svg = trend(&open);
        assert!(!svg.contains("NaN,") && svg.contains("<circle") && svg.contains("<polygon"), "{svg}");
    }
}
