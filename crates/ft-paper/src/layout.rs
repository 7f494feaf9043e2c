//! From blocks to pages: where each line of text and each shape stands, and which piece of the structure it belongs to.

mod steps;
mod table;

use crate::document::{Block, Document, Figure};
use crate::font::Fonts;
use crate::picture::{Colour, Line, Picture, Segment, Shape};
use crate::sheet::{MM, Sheet};
use crate::words;

/// Deep blue-green, the one colour beside black.
pub(crate) const ACCENT: Colour = Colour(11, 85, 99, 1.0);
pub(crate) const INK: Colour = Colour(17, 17, 17, 1.0);
const QUIET: Colour = Colour(85, 85, 85, 1.0);
const HAIR: Colour = Colour(170, 170, 170, 1.0);

/// A piece of the structure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Role {
    Heading(u8, String),
    Paragraph,
    List,
    Item,
    Label,
    Body,
    Table(String),
    Row,
    Head,
    Cell,
    Figure(String),
    Section,
}

/// Index into [`Pages::nodes`].
pub(crate) type NodeId = usize;

/// Where in the structure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    pub role: Role,
    pub parent: Option<NodeId>,
}

/// Something on a page; without a node it is ornament and not read aloud.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawn {
    pub node: Option<NodeId>,
    pub is_footer: bool,
    pub what: Shape,
}

/// A heading and where it is, for the outline: level, text, page, points from the top.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Heading(pub u8, pub String, pub usize, pub f32);

/// A document on its pages.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pages {
    pub sheet: Sheet,
    pub drawn: Vec<Vec<Drawn>>,
    pub nodes: Vec<Node>,
    pub headings: Vec<Heading>,
}

/// Letters on a page: size, weight, colour.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub size: f32,
    pub bold: bool,
    pub colour: Colour,
    /// Points from line to line.
    pub leading: f32,
}

const BODY: Look = Look { size: 10.0, bold: false, colour: INK, leading: 14.0 };
const LEAD: Look = Look { size: 15.0, bold: true, colour: INK, leading: 20.0 };
const NOTE: Look = Look { size: 8.5, bold: false, colour: QUIET, leading: 11.5 };

/// Lays a document out.
pub(crate) fn lay_out(document: &Document, sheet: Sheet) -> Pages {
    let mut flow = Flow::new(sheet);
    for (index, block) in document.blocks.iter().enumerate() {
        flow.block(block, document.blocks.get(index + 1));
    }
    flow.finish(document)
}

/// Pages as they fill.
pub(crate) struct Flow {
    pub fonts: Fonts,
    pub sheet: Sheet,
    pub y: f32,
    pages: Vec<Vec<Drawn>>,
    nodes: Vec<Node>,
    headings: Vec<Heading>,
}

impl Flow {
    pub fn new(sheet: Sheet) -> Self {
        Self {
            fonts: Fonts::new(),
            y: sheet.top,
            sheet,
            pages: vec![Vec::new()],
            nodes: Vec::new(),
            headings: Vec::new(),
        }
    }

    pub fn node(&mut self, role: Role, parent: Option<NodeId>) -> NodeId {
        self.nodes.push(Node { role, parent });
        self.nodes.len() - 1
    }

    pub fn put(&mut self, node: Option<NodeId>, what: Shape) {
        self.pages.last_mut().expect("never empty").push(Drawn { node, is_footer: false, what });
    }

    /// A line of text with its base line at `y`.
    pub fn text(&mut self, node: Option<NodeId>, (x, y): (f32, f32), look: Look, text: &str) {
        self.put(node, letters((x, y), look, text));
    }

    pub fn next_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = self.sheet.top;
    }

    /// Goes to the next page where `height` does not fit on this one.
    pub fn room(&mut self, height: f32) {
        if self.sheet.bottom < self.y + height && self.sheet.top < self.y {
            self.next_page();
        }
    }

    fn block(&mut self, block: &Block, next: Option<&Block>) {
        match block {
            Block::Heading(level, text) => self.heading(*level, text, next),
            Block::Paragraph(text) => self.paragraph(text, BODY, 6.0),
            Block::Lead(text) => self.paragraph(text, LEAD, 8.0),
            Block::Note(text) => self.paragraph(text, NOTE, 5.0),
            Block::List(items) => self.list(items),
            Block::Steps(steps) => steps::draw(self, steps),
            Block::Table(table) => table::draw(self, table),
            Block::Figure(figure) => self.figure(figure),
            Block::Ruler(words) => self.ruler(words),
            Block::PageBreak => {
                if self.sheet.top < self.y {
                    self.next_page();
                }
            }
        }
    }

    /// Lines under each other from `self.y`, left edge at `x`; over the end of a page where need be.
    pub fn lines(&mut self, node: NodeId, x: f32, look: Look, lines: &[String]) {
        for line in lines {
            self.room(look.leading);
            let base = self.y + look.size * 0.92;
            self.text(Some(node), (x, base), look, line);
            self.y += look.leading;
        }
    }

    fn paragraph(&mut self, text: &str, look: Look, after: f32) {
        let lines = self.fonts.lines(text, look.size, look.bold, self.sheet.inner());
        // Neither the first nor the last line stands alone.
        self.room(look.leading * lines.len().min(3) as f32);
        let node = self.node(Role::Paragraph, None);
        self.lines(node, self.sheet.left, look, &lines);
        self.y += after;
    }

    fn heading(&mut self, level: u8, text: &str, next: Option<&Block>) {
        let (size, before, indent) = match level {
            1 => (20.0, 6.0, 26.0),
            2 => (13.5, 10.0, 0.0),
            _ => (11.0, 6.0, 0.0),
        };
        let colour = if level == 3 { INK } else { ACCENT };
        let look = Look { size, bold: true, colour, leading: size * 1.25 };
        let lines = self.fonts.lines(text, size, true, self.sheet.inner() - indent);
        let height = look.leading * lines.len() as f32;
        // A heading stays with the begin of what it is about.
        let follows = match next {
            Some(Block::Figure(figure)) => {
                self.size(figure).1.min(self.sheet.bottom - self.sheet.top - height - 40.0)
            }
            Some(Block::Steps(_)) => 90.0,
            Some(_) => 44.0,
            None => 0.0,
        };
        self.room(before + height + 10.0 + follows);
        if self.sheet.top < self.y {
            self.y += before;
        }
        let at = Heading(level, text.to_owned(), self.pages.len() - 1, self.y);
        self.headings.push(at);
        let node = self.node(Role::Heading(level, text.to_owned()), None);
        if level == 1 {
            self.ring((self.sheet.left + 9.0, self.y + 11.0));
        }
        self.lines(node, self.sheet.left + indent, look, &lines);
        self.y += if level == 1 { 2.0 } else { 3.0 };
        if level == 1 {
            self.wave();
        }
    }

    /// The ring beside a title: an O-ring, from above.
    fn ring(&mut self, (x, y): (f32, f32)) {
        for (radius, width) in [(8.2, 1.2), (5.2, 1.2)] {
            let segments = circle((x, y), radius);
            self.put(None, Shape::Path { segments, fill: None, line: Some(plain(ACCENT, width)) });
        }
    }

    /// The line under a title: water that is nearly still.
    fn wave(&mut self) {
        let (left, right, y) = (self.sheet.left, self.sheet.right, self.y + 4.0);
        let mut segments = vec![Segment::Move((left, y))];
        let waves = ((right - left) / 24.0).floor().max(1.0);
        let step = (right - left) / waves;
        for wave in 0..waves as usize {
            let x = left + step * wave as f32;
            segments.push(Segment::Curve(
                (x + step / 3.0, y - 2.2),
                (x + step * 2.0 / 3.0, y + 2.2),
                (x + step, y),
            ));
        }
        self.put(None, Shape::Path { segments, fill: None, line: Some(plain(ACCENT, 0.9)) });
        self.y += 14.0;
    }

    fn list(&mut self, items: &[String]) {
        let list = self.node(Role::List, None);
        for item in items {
            let lines = self.fonts.lines(item, BODY.size, false, self.sheet.inner() - 16.0);
            self.room(BODY.leading * lines.len().min(2) as f32);
            let one = self.node(Role::Item, Some(list));
            let label = self.node(Role::Label, Some(one));
            let body = self.node(Role::Body, Some(one));
            let base = self.y + BODY.size * 0.92;
            self.text(Some(label), (self.sheet.left + 3.0, base), BODY, "•");
            self.lines(body, self.sheet.left + 16.0, BODY, &lines);
            self.y += 2.0;
        }
        self.y += 5.0;
    }

    /// Points for a unit, and the height in points.
    fn size(&self, figure: &Figure) -> (f32, f32) {
        let picture = &figure.picture;
        let fits = self.sheet.inner() / picture.width;
        let page = (self.sheet.bottom - self.sheet.top) / picture.height;
        let wanted = figure.scale_mm.map_or(fits, |mm| mm * MM);
        let scale = wanted.min(fits).min(page);
        (scale, scale * picture.height)
    }

    fn figure(&mut self, figure: &Figure) {
        let (scale, height) = self.size(figure);
        self.room(height);
        let node = self.node(Role::Figure(figure.alt.clone()), None);
        self.picture(node, &figure.picture, (self.sheet.left, self.y), scale);
        self.y += height + 8.0;
    }

    pub fn picture(&mut self, node: NodeId, picture: &Picture, (x, y): (f32, f32), scale: f32) {
        for shape in &picture.shapes {
            let shape = placed(shape, (x, y), scale, &self.fonts);
            self.put(Some(node), shape);
        }
    }

    fn ruler(&mut self, words: &str) {
        self.room(24.0);
        let (x, y, long) = (self.sheet.left, self.y + 10.0, 50.0 * MM);
        let mut segments = vec![Segment::Move((x, y)), Segment::Line((x + long, y))];
        for mark in 0..=5 {
            let at = x + long * mark as f32 / 5.0;
            let half = if mark % 5 == 0 { 5.0 } else { 3.0 };
            segments.extend([Segment::Move((at, y - half)), Segment::Line((at, y + half))]);
        }
        self.put(None, Shape::Path { segments, fill: None, line: Some(plain(INK, 0.8)) });
        let left = x + long + 10.0;
        let lines = self.fonts.lines(words, NOTE.size, false, self.sheet.right - left);
        let node = self.node(Role::Paragraph, None);
        self.y += if lines.len() == 1 { 4.0 } else { 0.0 };
        self.lines(node, left, NOTE, &lines);
        self.y = self.y.max(y + 5.0) + 8.0;
    }

    /// A fine line across.
    pub fn hairline(&mut self, y: f32) {
        let segments = vec![Segment::Move((self.sheet.left, y)), Segment::Line((self.sheet.right, y))];
        self.put(None, Shape::Path { segments, fill: None, line: Some(plain(HAIR, 0.5)) });
    }

    /// The pages as they are, with no feet.
    pub fn bare(self) -> Pages {
        Pages { sheet: self.sheet, drawn: self.pages, nodes: self.nodes, headings: self.headings }
    }

    fn finish(mut self, document: &Document) -> Pages {
        let count = self.pages.len();
        let words = words::of(&document.language);
        let right = Look { size: 8.0, bold: false, colour: QUIET, leading: 10.0 };
        for index in 0..count {
            let y = self.sheet.bottom + 16.0;
            let number = format!("{} {} / {count}", words.page, index + 1);
            let from = self.sheet.right - self.fonts.width(&number, right.size, false);
            let room = from - self.sheet.left - 12.0;
            let title = self.fonts.lines(&document.title, right.size, false, room).into_iter().next();
            let feet = [((self.sheet.left, y), title.unwrap_or_default()), ((from, y), number)];
            for (at, text) in feet {
                let what = letters(at, right, &text);
                self.pages[index].push(Drawn { node: None, is_footer: true, what });
            }
        }
        self.bare()
    }
}

/// A text as a shape.
pub(crate) fn letters((x, y): (f32, f32), look: Look, text: &str) -> Shape {
    Shape::Text {
        x,
        y,
        anchor: crate::picture::Anchor::Start,
        size: look.size,
        bold: look.bold,
        colour: look.colour,
        text: text.to_owned(),
    }
}

/// A shape of a picture in points of the page; texts begin at their left edge.
fn placed(shape: &Shape, (left, top): (f32, f32), scale: f32, fonts: &Fonts) -> Shape {
    use crate::picture::Anchor;
    match shape {
        Shape::Path { segments, fill, line } => Shape::Path {
            segments: segments
                .iter()
                .map(|segment| segment.map(|(x, y)| (left + scale * x, top + scale * y)))
                .collect(),
            fill: *fill,
            line: line.as_ref().map(|line| Line {
                colour: line.colour,
                width: line.width * scale,
                dashes: line.dashes.iter().map(|dash| dash * scale).collect(),
            }),
        },
        Shape::Clip { from, to } => Shape::Clip {
            from: (left + scale * from.0, top + scale * from.1),
            to: (left + scale * to.0, top + scale * to.1),
        },
        Shape::Unclip => Shape::Unclip,
        Shape::Text { x, y, anchor, size, bold, colour, text } => {
            let size = size * scale;
            let wide = fonts.width(text, size, *bold);
            let shift = match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => wide / 2.0,
                Anchor::End => wide,
            };
            let look = Look { size, bold: *bold, colour: *colour, leading: size };
            letters((left + scale * x - shift, top + scale * y), look, text)
        }
    }
}

/// A line without dashes.
pub(crate) fn plain(colour: Colour, width: f32) -> Line {
    Line { colour, width, dashes: Vec::new() }
}

fn circle((x, y): (f32, f32), r: f32) -> Vec<Segment> {
    let k = r * 0.552_284_8;
    vec![
        Segment::Move((x + r, y)),
        Segment::Curve((x + r, y + k), (x + k, y + r), (x, y + r)),
        Segment::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
        Segment::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
        Segment::Curve((x + k, y - r), (x + r, y - k), (x + r, y)),
        Segment::Close,
    ]
}

/// Corners of a rectangle.
pub(crate) fn rectangle((x, y): (f32, f32), (wide, high): (f32, f32)) -> Vec<Segment> {
    vec![
        Segment::Move((x, y)),
        Segment::Line((x + wide, y)),
        Segment::Line((x + wide, y + high)),
        Segment::Line((x, y + high)),
        Segment::Close,
    ]
}
