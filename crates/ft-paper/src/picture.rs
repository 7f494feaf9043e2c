//! Our pictures: the SVG that the drawing crates make, shape by shape.
//!
//! Not a reader of any SVG: it knows the elements and attributes that those crates write, and says which one it does
//! not know rather than leave it out in silence. Text stays text.

mod path;
mod read;
#[cfg(test)]
mod tests;

use std::fmt;

pub(crate) use path::Segment;

/// A picture in its own units, its origin in the upper left corner.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picture {
    /// Width in units.
    pub width: f32,
    /// Height in units.
    pub height: f32,
    pub(crate) shapes: Vec<Shape>,
}

/// Why a picture cannot be taken over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadPicture(pub String);

impl fmt::Display for BadPicture {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

/// Red, green, blue, and how much it covers (0 to 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Colour(pub u8, pub u8, pub u8, pub f32);

/// A line's look.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub colour: Colour,
    pub width: f32,
    pub dashes: Vec<f32>,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Path {
        segments: Vec<Segment>,
        fill: Option<Colour>,
        line: Option<Line>,
    },
    Text {
        x: f32,
        y: f32,
        anchor: Anchor,
        size: f32,
        bold: bool,
        colour: Colour,
        text: String,
    },
    /// From here on only what is inside is seen: left, top, right, bottom.
    Clip {
        from: (f32, f32),
        to: (f32, f32),
    },
    /// The end of the last clip.
    Unclip,
}

/// Which point of a text is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Picture {
    /// Reads a picture that one of the drawing crates made.
    ///
    /// # Errors
    /// [`BadPicture`]: the element or attribute that is not known, or what is no XML.
    pub fn read(svg: &str) -> Result<Self, BadPicture> {
        read::read(svg)
    }

    /// The part of the picture from `from` to `to` across, with what touches it; texts go with their given point.
    #[must_use]
    pub fn strip(&self, from: f32, to: f32) -> Self {
        let mut shapes = vec![Shape::Clip { from: (0.0, 0.0), to: (to - from, self.height) }];
        for shape in &self.shapes {
            let (low, high) = shape.extent();
            let inside = match shape {
                Shape::Path { .. } => from <= high && low <= to,
                Shape::Clip { .. } | Shape::Unclip => true,
                Shape::Text { .. } => from <= low && low < to,
            };
            if inside {
                shapes.push(shape.clone().moved(-from));
            }
        }
        shapes.push(Shape::Unclip);
        Self { width: to - from, height: self.height, shapes }
    }
}

impl Shape {
    /// Least and greatest x.
    fn extent(&self) -> (f32, f32) {
        match self {
            Self::Text { x, .. } => (*x, *x),
            Self::Clip { from, to } => (from.0, to.0),
            Self::Unclip => (f32::MIN, f32::MAX),
            Self::Path { segments, .. } => {
                let xs = segments.iter().flat_map(Segment::points).map(|(x, _)| x);
                xs.fold((f32::MAX, f32::MIN), |(low, high), x| (low.min(x), high.max(x)))
            }
        }
    }

    fn moved(mut self, by: f32) -> Self {
        match &mut self {
            Self::Text { x, .. } => *x += by,
            Self::Clip { from, to } => {
                from.0 += by;
                to.0 += by;
            }
            Self::Unclip => {}
            Self::Path { segments, .. } => {
                for segment in segments {
                    *segment = segment.map(|(x, y)| (x + by, y));
                }
            }
        }
        self
    }
}
