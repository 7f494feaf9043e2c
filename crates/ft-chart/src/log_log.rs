//! Cost against size: both axes logarithmic, so that a straight line of slope one is cost in proportion to size.

use ft_maths::{log10, pow};

use crate::svg;

/// What a log-log chart shows.
#[derive(Debug, Clone, PartialEq)]
pub struct LogLogChart<'a> {
    /// Title.
    pub title: &'a str,
    /// What runs to the right.
    pub x: &'a str,
    /// What runs up.
    pub y: &'a str,
    /// The measurements; values that are not above zero are left out.
    pub series: &'a [Series<'a>],
}

/// Measurements of one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Series<'a> {
    /// Name.
    pub name: &'a str,
    /// Pairs of x and y, in order of x.
    pub points: Vec<(f64, f64)>,
}

const LEFT: f64 = 70.0;
const RIGHT: f64 = 560.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 340.0;

/// Draws the chart.
pub fn log_log_svg(chart: &LogLogChart) -> String {
    let points =
        || chart.series.iter().flat_map(|series| series.points.iter()).filter(|p| p.0 > 0.0 && p.1 > 0.0);
    let decades = |axis: fn(&(f64, f64)) -> f64| {
        let low = points().map(axis).fold(f64::INFINITY, f64::min);
        let high = points().map(axis).fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = (log10(low).floor(), log10(high).ceil());
        if low.is_finite() && high > low { (low, high) } else { (0.0, 1.0) }
    };
    let (x, y) = (decades(|p| p.0), decades(|p| p.1));
    let place = |point: &(f64, f64)| {
        (
            LEFT + (log10(point.0) - x.0) / (x.1 - x.0) * (RIGHT - LEFT),
            BOTTOM - (log10(point.1) - y.0) / (y.1 - y.0) * (BOTTOM - TOP),
        )
    };
    let description = format!("{} against {}, both logarithmic.", chart.y, chart.x);
    let mut out = svg::open(760, 400, chart.title, &description);
    out += &svg::text(LEFT, 18.0, "start", chart.title);
    out += &svg::text(LEFT, 34.0, "start", chart.y);
    for decade in x.0 as i32..=x.1 as i32 {
        let at = place(&(power(decade), power(y.0 as i32)));
        out += &svg::line(at, (at.0, TOP), "stroke=\"currentColor\" stroke-opacity=\"0.15\"");
        out += &svg::text(at.0, BOTTOM + 16.0, "middle", &format!("1e{decade}"));
    }
    for decade in y.0 as i32..=y.1 as i32 {
        let at = place(&(power(x.0 as i32), power(decade)));
        out += &svg::line(at, (RIGHT, at.1), "stroke=\"currentColor\" stroke-opacity=\"0.15\"");
        out += &svg::text(LEFT - 6.0, at.1 + 4.0, "end", &format!("1e{decade}"));
    }
    out += &svg::text(f64::midpoint(LEFT, RIGHT), BOTTOM + 34.0, "middle", chart.x);
    for (index, series) in chart.series.iter().enumerate() {
        let line: Vec<(f64, f64)> =
            series.points.iter().filter(|p| p.0 > 0.0 && p.1 > 0.0).map(place).collect();
        let Some(end) = line.last() else { continue };
        let style = format!(
            "stroke=\"currentColor\" stroke-width=\"1.5\" stroke-dasharray=\"{} {}\"",
            2 + 4 * index,
            index
        );
        out += &svg::polyline(&line, &style);
        out += &svg::text(end.0 + 6.0, end.1 + 4.0, "start", series.name);
    }
    out += "</svg>\n";
    out
}

fn power(decade: i32) -> f64 {
    pow(10.0, f64::from(decade))
}

#[cfg(test)]
mod tests {
    use super::{LogLogChart, Series, log_log_svg};

    #[test]
    fn zero_and_nothing_are_drawn_as_nothing() {
        let series = [Series { name: "a", points: vec![(0.0, 1.0), (10.0, 1.0), (1000.0, 100.0)] }];
        let svg = log_log_svg(&LogLogChart { title: "t", x: "size", y: "cost", series: &series });
        assert!(svg.contains(">a</text>") && !svg.contains("NaN") && !svg.contains("inf"));
        let empty = log_log_svg(&LogLogChart { title: "t", x: "size", y: "cost", series: &[] });
        assert!(!empty.contains("NaN") && !empty.contains("inf"));
    }
}
