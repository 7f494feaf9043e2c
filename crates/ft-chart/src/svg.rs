//! The few SVG elements that the charts are made of.

use std::fmt::Write as _;

/// Text with the characters that XML reserves written out.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            // XML has no way to write the other control characters.
            c if c.is_control() => escaped.push(' '),
            c => escaped.push(c),
        }
    }
    escaped
}

/// The opening of a drawing with its title and description.
pub fn open(width: u32, height: u32, title: &str, description: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         font-family=\"sans-serif\" font-size=\"12\" fill=\"currentColor\">\n\
         <title>{}</title>\n<desc>{}</desc>\n",
        escape(title),
        escape(description)
    )
}

/// A text; `anchor` is `start`, `middle` or `end`.
pub fn text(x: f64, y: f64, anchor: &str, words: &str) -> String {
    format!("<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>\n", escape(words))
}

/// A straight line.
pub fn line(from: (f64, f64), to: (f64, f64), style: &str) -> String {
    format!(
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" {style}/>\n",
        from.0, from.1, to.0, to.1
    )
}

/// A line through points.
pub fn polyline(points: &[(f64, f64)], style: &str) -> String {
    format!("<polyline points=\"{}\" fill=\"none\" {style}/>\n", coordinates(points))
}

/// A closed area.
pub fn polygon(points: &[(f64, f64)], style: &str) -> String {
    format!("<polygon points=\"{}\" {style}/>\n", coordinates(points))
}

fn coordinates(points: &[(f64, f64)]) -> String {
    let mut text = String::with_capacity(points.len() * 12);
    for (x, y) in points {
        let _ = write!(text, "{x:.1},{y:.1} ");
    }
    text.pop();
    text
}
