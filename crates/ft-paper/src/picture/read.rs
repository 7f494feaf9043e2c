//! From the text of a picture to its shapes.

use roxmltree::{Document, Node};

use super::path::{numbers, path};
use super::{Anchor, BadPicture, Colour, Line, Picture, Segment, Shape};

/// What an element inherits.
#[derive(Clone)]
struct Style {
    /// `None`: no filling.
    fill: Option<Colour>,
    stroke: Option<Colour>,
    width: f32,
    dashes: Vec<f32>,
    size: f32,
    bold: bool,
    anchor: Anchor,
    has_tip: bool,
    scale: f32,
    shift: (f32, f32),
}

const BLACK: Colour = Colour(0, 0, 0, 1.0);

pub(super) fn read(svg: &str) -> Result<Picture, BadPicture> {
    let tree = Document::parse(svg).map_err(|error| BadPicture(error.to_string()))?;
    let root = tree.root_element();
    let bad = |what: &str| BadPicture(what.to_owned());
    let frame = root.attribute("viewBox").and_then(numbers).ok_or_else(|| bad("it has no view box"))?;
    let [left, top, width, height] = frame[..] else { return Err(bad("its view box is not four numbers")) };
    if !(0.0 < width && 0.0 < height) {
        return Err(bad("its view box is empty"));
    }
    let style = Style {
        fill: Some(BLACK),
        stroke: None,
        width: 1.0,
        dashes: Vec::new(),
        size: 12.0,
        bold: false,
        anchor: Anchor::Start,
        has_tip: false,
        scale: 1.0,
        shift: (-left, -top),
    };
    let mut picture = Picture { width, height, shapes: Vec::new() };
    inside(root, &own(root, &style)?, &mut picture.shapes)?;
    Ok(picture)
}

fn inside(node: Node<'_, '_>, style: &Style, shapes: &mut Vec<Shape>) -> Result<(), BadPicture> {
    for child in node.children().filter(Node::is_element) {
        let style = own(child, style)?;
        let name = child.tag_name().name();
        let number = |name: &str| attribute(child, name);
        let segments = match name {
            "title" | "desc" | "defs" => continue,
            "g" => {
                inside(child, &style, shapes)?;
                continue;
            }
            "text" => {
                shapes.push(text(child, &style)?);
                continue;
            }
            "path" => child
                .attribute("d")
                .and_then(path)
                .ok_or_else(|| BadPicture("a path has a `d` that is not known".into()))?,
            "rect" => rect(number("x")?, number("y")?, number("width")?, number("height")?, number("rx")?),
            "circle" => circle(number("cx")?, number("cy")?, number("r")?),
            "line" => vec![
                Segment::Move((number("x1")?, number("y1")?)),
                Segment::Line((number("x2")?, number("y2")?)),
            ],
            "polyline" | "polygon" => points(child, name == "polygon")?,
            other => return Err(BadPicture(format!("it has an element `{other}` that is not known"))),
        };
        let segments: Vec<Segment> =
            segments.into_iter().map(|segment| segment.map(|point| style.place(point))).collect();
        let tip = style.has_tip.then(|| tip(&segments)).flatten();
        let line = style.stroke.map(|colour| Line {
            colour,
            width: style.width * style.scale,
            dashes: style.dashes.iter().map(|dash| dash * style.scale).collect(),
        });
        shapes.push(Shape::Path { segments, fill: style.fill, line });
        if let Some(segments) = tip {
            shapes.push(Shape::Path { segments, fill: style.stroke, line: None });
        }
    }
    Ok(())
}

impl Style {
    fn place(&self, (x, y): (f32, f32)) -> (f32, f32) {
        (self.shift.0 + self.scale * x, self.shift.1 + self.scale * y)
    }
}

/// The style of an element: its parent's, with what it says itself.
fn own(node: Node<'_, '_>, parent: &Style) -> Result<Style, BadPicture> {
    let mut style = parent.clone();
    style.has_tip = node.attribute("marker-end").is_some();
    for attribute in node.attributes() {
        let value = attribute.value();
        let number = || -> Result<f32, BadPicture> {
            value
                .parse::<f32>()
                .ok()
                .filter(|number| number.is_finite())
                .ok_or_else(|| BadPicture(format!("`{}=\"{value}\"` is no number", attribute.name())))
        };
        match attribute.name() {
            "fill" => style.fill = colour(value)?,
            "stroke" => style.stroke = colour(value)?,
            "stroke-width" => style.width = number()?,
            "stroke-dasharray" => {
                style.dashes = if value == "none" { Vec::new() } else { numbers(value).unwrap_or_default() };
                if style.dashes.len() % 2 == 1 {
                    style.dashes.extend_from_within(..);
                }
                if style.dashes.iter().all(|dash| *dash <= 0.0) {
                    style.dashes.clear();
                }
            }
            "font-size" => style.size = number()?,
            "font-weight" => style.bold = value == "bold",
            "text-anchor" => {
                style.anchor = match value {
                    "middle" => Anchor::Middle,
                    "end" => Anchor::End,
                    _ => Anchor::Start,
                }
            }
            "transform" => transform(&mut style, value)?,
            "style" | "class" => {
                return Err(BadPicture(format!("it has an attribute `{}`", attribute.name())));
            }
            _ => {}
        }
    }
    // What is said of a colour's cover comes after the colour, whatever the order of attributes.
    for (name, colour) in [("fill-opacity", &mut style.fill), ("stroke-opacity", &mut style.stroke)] {
        if let (Some(value), Some(colour)) = (node.attribute(name), colour) {
            colour.3 = value.parse::<f32>().unwrap_or(1.0).clamp(0.0, 1.0);
        }
    }
    Ok(style)
}

/// `translate(x y)` and `scale(s)`, in this order.
fn transform(style: &mut Style, value: &str) -> Result<(), BadPicture> {
    let unknown = || BadPicture(format!("it has a transform `{value}` that is not known"));
    for piece in value.split_inclusive(')') {
        let (name, inner) = piece.trim().trim_end_matches(')').split_once('(').ok_or_else(unknown)?;
        match (name, numbers(inner).ok_or_else(unknown)?[..].as_ref()) {
            ("translate", [x, y]) => style.shift = style.place((*x, *y)),
            ("scale", [factor]) => style.scale *= factor,
            _ => return Err(unknown()),
        }
    }
    Ok(())
}

fn attribute(node: Node<'_, '_>, name: &str) -> Result<f32, BadPicture> {
    match node.attribute(name) {
        None => Ok(0.0),
        Some(value) => match value.parse::<f32>() {
            Ok(number) if number.is_finite() => Ok(number),
            _ => Err(BadPicture(format!("`{name}=\"{value}\"` is no number"))),
        },
    }
}

fn text(node: Node<'_, '_>, style: &Style) -> Result<Shape, BadPicture> {
    let (x, y) = style.place((attribute(node, "x")?, attribute(node, "y")?));
    let text = node.descendants().filter(Node::is_text).filter_map(|node| node.text()).collect();
    let colour = style.fill.unwrap_or(BLACK);
    Ok(Shape::Text {
        x,
        y,
        anchor: style.anchor,
        size: style.size * style.scale,
        bold: style.bold,
        colour,
        text,
    })
}

fn points(node: Node<'_, '_>, is_closed: bool) -> Result<Vec<Segment>, BadPicture> {
    let numbers = node.attribute("points").and_then(numbers);
    let numbers = numbers.ok_or_else(|| BadPicture("points that are no numbers".into()))?;
    let mut segments: Vec<Segment> = numbers
        .chunks_exact(2)
        .enumerate()
        .map(|(index, at)| {
            let at = (at[0], at[1]);
            if index == 0 { Segment::Move(at) } else { Segment::Line(at) }
        })
        .collect();
    if is_closed {
        segments.push(Segment::Close);
    }
    Ok(segments)
}

fn rect(x: f32, y: f32, width: f32, height: f32, round: f32) -> Vec<Segment> {
    let r = round.clamp(0.0, width.min(height) / 2.0);
    let (right, bottom) = (x + width, y + height);
    if r <= 0.0 {
        return vec![
            Segment::Move((x, y)),
            Segment::Line((right, y)),
            Segment::Line((right, bottom)),
            Segment::Line((x, bottom)),
            Segment::Close,
        ];
    }
    let k = r * (1.0 - ARC);
    vec![
        Segment::Move((x + r, y)),
        Segment::Line((right - r, y)),
        Segment::Curve((right - k, y), (right, y + k), (right, y + r)),
        Segment::Line((right, bottom - r)),
        Segment::Curve((right, bottom - k), (right - k, bottom), (right - r, bottom)),
        Segment::Line((x + r, bottom)),
        Segment::Curve((x + k, bottom), (x, bottom - k), (x, bottom - r)),
        Segment::Line((x, y + r)),
        Segment::Curve((x, y + k), (x + k, y), (x + r, y)),
        Segment::Close,
    ]
}

/// How far the handles of a quarter circle reach: 4 / 3 (√2 − 1) of its radius.
const ARC: f32 = 0.552_284_8;

fn circle(x: f32, y: f32, r: f32) -> Vec<Segment> {
    rect(x - r, y - r, 2.0 * r, 2.0 * r, r)
}

/// The tip of an arrow at the end of a path: seven units long, as our marker is drawn.
fn tip(segments: &[Segment]) -> Option<Vec<Segment>> {
    let points: Vec<(f32, f32)> = segments.iter().flat_map(Segment::points).collect();
    let (&end, before) = points.split_last()?;
    let from = before.iter().rev().find(|point| **point != end)?;
    let (dx, dy) = (end.0 - from.0, end.1 - from.1);
    let length = dx.hypot(dy);
    let (dx, dy) = (7.0 * dx / length, 7.0 * dy / length);
    let back = (end.0 - dx, end.1 - dy);
    Some(vec![
        Segment::Move(end),
        Segment::Line((back.0 - dy / 2.0, back.1 + dx / 2.0)),
        Segment::Line((back.0 + dy / 2.0, back.1 - dx / 2.0)),
        Segment::Close,
    ])
}

fn colour(value: &str) -> Result<Option<Colour>, BadPicture> {
    let hex = |text: &str| u8::from_str_radix(text, 16).ok();
    let found = match value {
        "none" => return Ok(None),
        "currentColor" | "black" => Some(BLACK),
        "white" => Some(Colour(255, 255, 255, 1.0)),
        _ => {
            value.strip_prefix('#').filter(|digits| digits.is_ascii()).and_then(|digits| match digits.len() {
                3 => {
                    let one = |at: usize| hex(&digits[at..=at]).map(|level| level * 17);
                    Some(Colour(one(0)?, one(1)?, one(2)?, 1.0))
                }
                6 => Some(Colour(hex(&digits[..2])?, hex(&digits[2..4])?, hex(&digits[4..])?, 1.0)),
                _ => None,
            })
        }
    };
    found.map(Some).ok_or_else(|| BadPicture(format!("it has a colour `{value}` that is not known")))
}
