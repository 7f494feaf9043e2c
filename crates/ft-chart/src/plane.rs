//! A plane with linear axes for charts that take points in their own units.

use std::fmt::Write as _;
use std::ops::RangeInclusive;

use crate::svg::escape;

/// Width of a chart in user units.
pub const WIDTH: f64 = 720.0;
/// Height of a chart in user units.
pub const HEIGHT: f64 = 360.0;
const LEFT: f64 = 64.0;
const RIGHT: f64 = 120.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 48.0;

/// How a line is drawn; each looks different in black and white.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// The thing itself.
    Solid,
    /// A limit.
    Dashed,
    /// A centre or a bound of what is known.
    Dotted,
}

impl Stroke {
    fn attributes(self) -> &'static str {
        match self {
            Self::Solid => r#"stroke-width="2""#,
            Self::Dashed => r#"stroke-width="1.5" stroke-dasharray="8 4""#,
            Self::Dotted => r#"stroke-width="1" stroke-dasharray="2 3""#,
        }
    }
}

/// A chart that is being drawn: a plane with linear axes.
#[derive(Debug)]
pub struct Plane {
    x: (f64, f64),
    y: (f64, f64),
    body: String,
    rings: u32,
}

impl Plane {
    /// An empty plane over the two ranges; a range without width is widened by a half on both sides, and numbers
    /// that are not finite count as zero, so that every input gives a picture.
    pub fn new(x: RangeInclusive<f64>, y: RangeInclusive<f64>) -> Self {
        Self { x: widened(&x), y: widened(&y), body: String::new(), rings: 0 }
    }

    fn px(&self, x: f64) -> f64 {
        LEFT + (x - self.x.0) / (self.x.1 - self.x.0) * (WIDTH - LEFT - RIGHT)
    }

    fn py(&self, y: f64) -> f64 {
        HEIGHT - BOTTOM - (y - self.y.0) / (self.y.1 - self.y.0) * (HEIGHT - TOP - BOTTOM)
    }

    /// A line through the points, in their order; nothing for fewer than two.
    pub fn line(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        if points.len() < 2 {
            return;
        }
        let mut path = String::new();
        for (index, (x, y)) in points.iter().filter(|(x, y)| x.is_finite() && y.is_finite()).enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{letter}{:.1} {:.1}", self.px(*x), self.py(*y));
        }
        let look = stroke.attributes();
        let _ = writeln!(self.body, r#"<path d="{path}" fill="none" stroke="currentColor" {look}/>"#);
    }

    /// A pale area between an upper and a lower line, both from left to right.
    pub fn band(&mut self, lower: &[(f64, f64)], upper: &[(f64, f64)]) {
        let mut points = String::new();
        for (x, y) in lower.iter().chain(upper.iter().rev()).filter(|(x, y)| x.is_finite() && y.is_finite()) {
            let _ = write!(points, "{:.1},{:.1} ", self.px(*x), self.py(*y));
        }
        let points = points.trim_end();
        let _ =
            writeln!(self.body, r#"<polygon points="{points}" fill="currentColor" fill-opacity="0.12"/>"#);
    }

    /// A level line over the whole width, with its words at the right.
    pub fn level(&mut self, y: f64, words: &str, stroke: Stroke) {
        self.line(&[(self.x.0, y), (self.x.1, y)], stroke);
        let (at_x, at_y) = (WIDTH - RIGHT + 6.0, self.py(y) + 4.0);
        let words = escape(words);
        let _ = writeln!(self.body, r#"<text x="{at_x:.1}" y="{at_y:.1}">{words}</text>"#);
    }

    /// A round mark.
    pub fn dot(&mut self, x: f64, y: f64) {
        let (x, y) = (self.px(x), self.py(y));
        let _ = writeln!(self.body, r#"<circle cx="{x:.1}" cy="{y:.1}" r="3" fill="currentColor"/>"#);
    }

    /// A ringed mark with its words: something that the reader should look at.
    ///
    /// Words stand above and below in turn, so that those of neighbours do not cover each other, and lean to the
    /// left at the right end.
    pub fn ring(&mut self, x: f64, y: f64, words: &str) {
        let (x, y) = (self.px(x), self.py(y));
        let words_y = if self.rings.is_multiple_of(2) { y - 12.0 } else { y + 22.0 };
        let anchor = if x > WIDTH - RIGHT - 60.0 { "end" } else { "middle" };
        let words = escape(words);
        self.rings += 1;
        let _ = writeln!(
            self.body,
            r#"<circle cx="{x:.1}" cy="{y:.1}" r="8" fill="none" stroke="currentColor" stroke-width="2"/><text x="{x:.1}" y="{words_y:.1}" text-anchor="{anchor}">{words}</text>"#
        );
    }

    /// A short upright mark across a line.
    pub fn tick(&mut self, x: f64, y: f64) {
        let (x, y) = (self.px(x), self.py(y));
        let _ = writeln!(
            self.body,
            r#"<path d="M{x:.1} {:.1}V{:.1}" stroke="currentColor" stroke-width="1.5"/>"#,
            y - 6.0,
            y + 6.0
        );
    }

    /// The finished picture with its axes and their words.
    ///
    /// `description` is what a screen reader says instead of the picture.
    pub fn finish(self, title: &str, description: &str, x_words: &str, y_words: &str) -> String {
        let mut axes = String::new();
        let (floor, wall) = (HEIGHT - BOTTOM, WIDTH - RIGHT);
        let _ =
            writeln!(axes, r#"<path d="M{LEFT} {TOP}V{floor}H{wall}" fill="none" stroke="currentColor"/>"#);
        for x in marks(self.x) {
            let at = self.px(x);
            let _ = writeln!(
                axes,
                r#"<path d="M{at:.1} {floor}v5" stroke="currentColor"/><text x="{at:.1}" y="{:.1}" text-anchor="middle">{}</text>"#,
                floor + 18.0,
                short(x)
            );
        }
        for y in marks(self.y) {
            let at = self.py(y);
            let _ = writeln!(
                axes,
                r#"<path d="M{LEFT} {at:.1}h-5" stroke="currentColor"/><text x="{:.1}" y="{:.1}" text-anchor="end">{}</text>"#,
                LEFT - 8.0,
                at + 4.0,
                short(y)
            );
        }
        let (title, description) = (escape(title), escape(description));
        let (x_words, y_words) = (escape(x_words), escape(y_words));
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="system-ui, sans-serif" font-size="12" fill="currentColor">
<title>{title}</title>
<desc>{description}</desc>
<text x="{LEFT}" y="18" font-size="15">{title}</text>
<text x="{:.1}" y="{:.1}" text-anchor="middle">{x_words}</text>
<text x="{LEFT}" y="{:.1}" text-anchor="start">{y_words}</text>
{axes}{}</svg>
"#,
            f64::midpoint(LEFT, wall),
            HEIGHT - 10.0,
            TOP - 6.0,
            self.body
        )
    }
}

/// The smallest range that holds all finite values, with a twentieth of it to spare on both sides; 0 to 1 if none.
pub fn range_of(values: impl IntoIterator<Item = f64>) -> RangeInclusive<f64> {
    let mut low = f64::INFINITY;
    let mut high = f64::NEG_INFINITY;
    for value in values.into_iter().filter(|value| value.is_finite()) {
        low = low.min(value);
        high = high.max(value);
    }
    if low > high {
        return 0.0..=1.0;
    }
    let spare = (high - low) / 20.0;
    low - spare..=high + spare
}

fn widened(range: &RangeInclusive<f64>) -> (f64, f64) {
    let finite = |x: f64| if x.is_finite() { x } else { 0.0 };
    let (low, high) = (finite(*range.start()), finite(*range.end()));
    if low < high { (low, high) } else { (low - 0.5, low + 0.5) }
}

/// Round numbers inside a range, four to nine of them.
fn marks((low, high): (f64, f64)) -> Vec<f64> {
    let rough = (high - low) / 6.0;
    let power = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= rough).unwrap_or(rough);
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    (first..=last).take(20).map(|k| k as f64 * step).collect()
}

/// A mark's number without noise of the last digits.
fn short(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" || text.is_empty() { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::{Plane, Stroke, marks, short};

    #[test]
    fn marks_are_round_and_inside() {
        assert_eq!(marks((0.0, 1.0)), [0.0, 0.2, 0.4, 0.600_000_000_000_000_1, 0.8, 1.0]);
        assert_eq!(marks((45.0, 56.0)), [46.0, 48.0, 50.0, 52.0, 54.0, 56.0]);
        assert_eq!(short(0.600_000_000_000_000_1), "0.6");
    }

    #[test]
    fn every_input_gives_a_picture_and_text_is_escape() {
        let mut plane = Plane::new(f64::NAN..=1.0, 2.0..=2.0);
        plane.line(&[(f64::NAN, 0.0), (0.5, 2.0)], Stroke::Solid);
        let svg = plane.finish("a < b & c", "", "x", "y");
        assert!(svg.contains("a &lt; b &amp; c") && !svg.contains("NaN"));
    }
}
