//! Temperature above, predicted growth with its band below, over one time axis.

use std::fmt::Write as _;

use crate::axis::{Scale, label, thinned};
use crate::svg;

/// What a growth chart shows.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthChart<'a> {
    /// Title.
    pub title: &'a str,
    /// What the time counts from.
    pub since: &'a str,
    /// Hours and °C, in order; at least one.
    pub temperature: &'a [(f64, f64)],
    /// A limit on the temperature, °C, and whose it is.
    pub limit: Option<(f64, &'a str)>,
    /// Stretches without readings, hours from and to.
    pub gaps: &'a [(f64, f64)],
    /// Predicted growth.
    pub lines: &'a [GrowthLine<'a>],
    /// Said under the chart.
    pub caution: &'a str,
}

/// Predicted growth of one organism.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthLine<'a> {
    /// Name.
    pub name: &'a str,
    /// Hours and log10 increase, in order.
    pub points: Vec<(f64, f64)>,
    /// How far it may be off to either side, log10.
    pub band: f64,
}

const WIDTH: u32 = 860;
const LEFT: f64 = 48.0;
const RIGHT: f64 = 560.0;
const TEMPERATURE: (f64, f64) = (170.0, 40.0);
const GROWTH: (f64, f64) = (360.0, 205.0);
const BUCKETS: usize = 300;
/// Colour and dashes of each line; the dashes alone tell them apart.
const STYLES: [(&str, &str); 4] =
    [("#0b6e99", ""), ("#b3541e", "7 3"), ("#5b3a8c", "2 3"), ("#2e6b34", "9 3 2 3")];

/// Draws the chart; points in the thousands are thinned without losing an extreme.
pub fn growth_svg(chart: &GrowthChart) -> String {
    let hours = chart.temperature.last().map_or(1.0, |point| point.0);
    let time = Scale::new(0.0, hours, LEFT, RIGHT);
    let height = 420;
    let mut out = svg::open(WIDTH, height, chart.title, &description(chart));
    out += &svg::text(LEFT, 20.0, "start", chart.title);
    out += &temperature_panel(chart, &time);
    out += &growth_panel(chart, &time);
    for tick in time.ticks(8.0) {
        out += &svg::text(time.place(tick), GROWTH.0 + 16.0, "middle", &label(tick));
    }
    out += &svg::text(
        f64::midpoint(LEFT, RIGHT),
        GROWTH.0 + 32.0,
        "middle",
        &format!("hours since {}", chart.since),
    );
    out += &svg::text(LEFT, GROWTH.0 + 50.0, "start", chart.caution);
    out += "</svg>\n";
    out
}

fn description(chart: &GrowthChart) -> String {
    let warmest = chart.temperature.iter().map(|point| point.1).fold(f64::NEG_INFINITY, f64::max);
    let mut words = format!("Warmest {warmest:.1} °C.");
    for line in chart.lines {
        let end = line.points.last().map_or(0.0, |point| point.1);
        let _ = write!(words, " {}: {end:.1} log10 more, give or take {}.", line.name, label(line.band));
    }
    if !chart.gaps.is_empty() {
        let _ = write!(words, " {} stretches without readings.", chart.gaps.len());
    }
    words
}

fn temperature_panel(chart: &GrowthChart, time: &Scale) -> String {
    let limit = chart.limit.map(|(celsius, _)| celsius);
    let all = || chart.temperature.iter().map(|point| point.1).chain(limit);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let celsius = Scale::new((low - 0.5).floor(), (high + 0.5).ceil(), TEMPERATURE.0, TEMPERATURE.1);
    let mut out = String::new();
    for (from, to) in chart.gaps {
        let (x0, x1) = (time.place(*from), time.place(*to));
        let corners = [(x0, TEMPERATURE.0), (x0, TEMPERATURE.1), (x1, TEMPERATURE.1), (x1, TEMPERATURE.0)];
        out += &svg::polygon(&corners, "fill=\"#888\" fill-opacity=\"0.25\"");
        out += &svg::text(f64::midpoint(x0, x1), TEMPERATURE.0 - 4.0, "middle", "no readings");
    }
    out += &frame(TEMPERATURE, &celsius, 5.0, "°C");
    if let Some((value, whose)) = chart.limit {
        let y = celsius.place(value);
        out += &svg::line((LEFT, y), (RIGHT, y), "stroke=\"currentColor\" stroke-dasharray=\"4 4\"");
        out += &svg::text(RIGHT + 6.0, y + 4.0, "start", &format!("{} °C, {whose}", label(value)));
    }
    let points: Vec<(f64, f64)> = thinned(chart.temperature, BUCKETS)
        .into_iter()
        .map(|(hours, value)| (time.place(hours), celsius.place(value)))
        .collect();
    out + &svg::polyline(&points, "stroke=\"currentColor\" stroke-width=\"1.5\"")
}

fn growth_panel(chart: &GrowthChart, time: &Scale) -> String {
    let top = chart
        .lines
        .iter()
        .map(|line| line.points.last().map_or(0.0, |point| point.1) + line.band)
        .fold(1.0, f64::max);
    let log10 = Scale::new(0.0, top, GROWTH.0, GROWTH.1);
    let mut out = frame(GROWTH, &log10, 5.0, "log10 more");
    let mut label_floor = f64::INFINITY;
    let mut ends: Vec<(f64, usize)> = chart
        .lines
        .iter()
        .enumerate()
        .map(|(index, line)| (line.points.last().map_or(0.0, |point| point.1), index))
        .collect();
    ends.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
    for (end, index) in ends {
        let line = &chart.lines[index];
        let (colour, dashes) = STYLES[index % STYLES.len()];
        let points = thinned(&line.points, BUCKETS);
        let at = |(hours, value): &(f64, f64), off: f64| {
            (time.place(*hours), log10.place((value + off).clamp(0.0, top)))
        };
        let upper = points.iter().map(|point| at(point, line.band));
        let lower = points.iter().rev().map(|point| at(point, -line.band));
        let band: Vec<(f64, f64)> = upper.chain(lower).collect();
        out += &svg::polygon(&band, &format!("fill=\"{colour}\" fill-opacity=\"0.12\""));
        let middle: Vec<(f64, f64)> = points.iter().map(|point| at(point, 0.0)).collect();
        let style = format!("stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dashes}\"");
        out += &svg::polyline(&middle, &style);
        // Labels climb, so that lines that end close together are both named.
        let y = log10.place(end).min(label_floor - 28.0);
        label_floor = y;
        out += &svg::text(RIGHT + 6.0, y, "start", line.name);
        out += &svg::text(RIGHT + 6.0, y + 13.0, "start", &format!("{end:.1} ± {}", label(line.band)));
    }
    out
}

fn frame(panel: (f64, f64), scale: &Scale, ticks: f64, unit: &str) -> String {
    let mut out = svg::text(LEFT, panel.1 - 8.0, "start", unit);
    for tick in scale.ticks(ticks) {
        let y = scale.place(tick);
        out += &svg::line((LEFT, y), (RIGHT, y), "stroke=\"currentColor\" stroke-opacity=\"0.15\"");
        out += &svg::text(LEFT - 6.0, y + 4.0, "end", &label(tick));
    }
    out + &svg::line((LEFT, panel.0), (RIGHT, panel.0), "stroke=\"currentColor\"")
}

#[cfg(test)]
mod tests {
    use super::{GrowthChart, GrowthLine, growth_svg};

    #[test]
    fn the_chart_names_its_lines_and_escapes_what_it_is_given() {
        let line = GrowthLine { name: "a < b & c", points: vec![(0.0, 0.0), (10.0, 0.6)], band: 1.0 };
        let chart = GrowthChart {
            title: "Tub 3",
            since: "preparation",
            temperature: &[(0.0, 3.0), (5.0, 9.0), (10.0, 4.0)],
            limit: Some((5.0, "house rule")),
            gaps: &[(2.0, 3.0)],
            lines: &[line],
            caution: "A low prediction gives no permission.",
        };
        let svg = growth_svg(&chart);
        assert!(svg.contains("a &lt; b &amp; c: 0.6 log10 more, give or take 1."));
        assert!(svg.contains("0.6 ± 1") && svg.contains("no readings") && svg.contains("house rule"));
        assert!(svg.contains("no permission") && !svg.contains("NaN") && !svg.contains("inf"));
        assert_eq!(svg, growth_svg(&chart), "the same numbers give the same bytes");
    }

    #[test]
    fn a_flat_history_is_drawn() {
        let chart = GrowthChart {
            title: "",
            since: "",
            temperature: &[(0.0, 3.0)],
            limit: None,
            gaps: &[],
            lines: &[],
            caution: "",
        };
        let svg = growth_svg(&chart);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }
}
