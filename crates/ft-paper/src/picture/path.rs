//! The `d` of a path: `M L H V C Z` and their small forms, numbers separated by spaces or commas.

/// A piece of a path, in absolute coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Segment {
    Move((f32, f32)),
    Line((f32, f32)),
    Curve((f32, f32), (f32, f32), (f32, f32)),
    Close,
}

impl Segment {
    pub fn points(&self) -> impl Iterator<Item = (f32, f32)> {
        let points = match *self {
            Self::Move(to) | Self::Line(to) => [Some(to), None, None],
            Self::Curve(one, two, to) => [Some(one), Some(two), Some(to)],
            Self::Close => [None, None, None],
        };
        points.into_iter().flatten()
    }

    pub fn map(self, change: impl Fn((f32, f32)) -> (f32, f32)) -> Self {
        match self {
            Self::Move(to) => Self::Move(change(to)),
            Self::Line(to) => Self::Line(change(to)),
            Self::Curve(one, two, to) => Self::Curve(change(one), change(two), change(to)),
            Self::Close => Self::Close,
        }
    }
}

/// Reads a path; `None` if it holds anything else.
pub(crate) fn path(text: &str) -> Option<Vec<Segment>> {
    let mut segments = Vec::new();
    let mut rest = text.trim_start();
    let (mut at, mut begin) = ((0.0, 0.0), (0.0, 0.0));
    while let Some(letter) = rest.chars().next() {
        if !letter.is_ascii_alphabetic() {
            return None;
        }
        let end =
            rest[1..].find(|c: char| c.is_ascii_alphabetic() && c != 'e').map_or(rest.len(), |end| end + 1);
        let numbers = numbers(&rest[1..end])?;
        rest = rest[end..].trim_start();
        let base = |at: (f32, f32)| if letter.is_ascii_lowercase() { at } else { (0.0, 0.0) };
        let count = match letter.to_ascii_uppercase() {
            'M' | 'L' => 2,
            'H' | 'V' => 1,
            'C' => 6,
            'Z' if numbers.is_empty() => {
                segments.push(Segment::Close);
                at = begin;
                continue;
            }
            _ => return None,
        };
        if numbers.is_empty() || numbers.len() % count != 0 {
            return None;
        }
        for (index, group) in numbers.chunks(count).enumerate() {
            let from = base(at);
            let point = |x: f32, y: f32| (from.0 + x, from.1 + y);
            let segment = match (letter.to_ascii_uppercase(), group) {
                ('M', [x, y]) if index == 0 => {
                    begin = point(*x, *y);
                    Segment::Move(begin)
                }
                ('M' | 'L', [x, y]) => Segment::Line(point(*x, *y)),
                ('H', [x]) => Segment::Line((from.0 + x, at.1)),
                ('V', [y]) => Segment::Line((at.0, from.1 + y)),
                (_, [from_x, from_y, to_x, to_y, x, y]) => {
                    Segment::Curve(point(*from_x, *from_y), point(*to_x, *to_y), point(*x, *y))
                }
                _ => return None,
            };
            at = segment.points().last()?;
            segments.push(segment);
        }
    }
    Some(segments)
}

/// Numbers as SVG separates them: spaces, commas, or a sign that begins the next.
pub(crate) fn numbers(text: &str) -> Option<Vec<f32>> {
    let mut found = Vec::new();
    for piece in text.split([' ', ',', '\n', '\t']).filter(|piece| !piece.is_empty()) {
        let mut begin = 0;
        for (index, letter) in piece.char_indices() {
            if letter == '-' && begin < index {
                found.push(finite(&piece[begin..index])?);
                begin = index;
            }
        }
        found.push(finite(&piece[begin..])?);
    }
    Some(found)
}

fn finite(text: &str) -> Option<f32> {
    text.parse::<f32>().ok().filter(|number| number.is_finite() && number.abs() < 1e6)
}
