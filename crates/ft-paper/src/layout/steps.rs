//! Things to do: when at the left, a box at the right, between them the caution first, then what and how.

use super::{ACCENT, BODY, Flow, INK, Look, NOTE, Role, plain, rectangle};
use crate::document::Step;
use crate::picture::{Segment, Shape};

const TIME: f32 = 46.0;
const BOX: f32 = 15.0;
const WHEN: Look = Look { size: 13.0, bold: true, colour: ACCENT, leading: 17.0 };
const TITLE: Look = Look { size: 13.0, bold: true, colour: INK, leading: 17.0 };
const SAYS: Look = Look { size: 11.0, bold: false, colour: INK, leading: 15.0 };
const CAUTION: Look = Look { size: 11.0, bold: true, colour: INK, leading: 15.0 };

pub(super) fn draw(flow: &mut Flow, steps: &[Step]) {
    let list = flow.node(Role::List, None);
    let left = flow.sheet.left + TIME;
    let width = flow.sheet.right - left - BOX - 14.0;
    for step in steps {
        let fonts = &flow.fonts;
        let lines = |text: &str, look: Look, width: f32| match text {
            "" => Vec::new(),
            text => fonts.lines(text, look.size, look.bold, width),
        };
        let cautions: Vec<Vec<String>> =
            step.cautions.iter().map(|caution| lines(caution, CAUTION, width - 24.0)).collect();
        let title = lines(&step.title, TITLE, width);
        let says = lines(&step.says, SAYS, width);
        let about = lines(&step.about, NOTE, width);
        let height: f32 =
            cautions.iter().map(|caution| CAUTION.leading * caution.len() as f32 + 8.0).sum::<f32>()
                + TITLE.leading * title.len() as f32
                + SAYS.leading * says.len() as f32
                + NOTE.leading * about.len() as f32
                + 10.0;
        flow.room(height);
        let top = flow.y;
        let one = flow.node(Role::Item, Some(list));
        let label = flow.node(Role::Label, Some(one));
        let body = flow.node(Role::Body, Some(one));
        flow.text(Some(label), (flow.sheet.left, top + WHEN.size * 0.92), WHEN, &step.at);
        for caution in &cautions {
            let node = flow.node(Role::Paragraph, Some(body));
            let high = CAUTION.leading * caution.len() as f32 + 4.0;
            let frame = rectangle((left - 2.0, flow.y - 1.0), (width + 2.0, high));
            flow.put(None, Shape::Path { segments: frame, fill: None, line: Some(plain(INK, 1.2)) });
            triangle(flow, (left + 4.0, flow.y + 1.5));
            flow.y += 1.0;
            flow.lines(node, left + 22.0, CAUTION, caution);
            flow.y += 7.0;
        }
        if step.has_box {
            let at = (flow.sheet.right - BOX, top);
            let segments = rectangle(at, (BOX, BOX));
            flow.put(None, Shape::Path { segments, fill: None, line: Some(plain(INK, 1.2)) });
        }
        for (look, lines) in [(TITLE, &title), (SAYS, &says), (NOTE, &about)] {
            if !lines.is_empty() {
                let node = flow.node(Role::Paragraph, Some(body));
                flow.lines(node, left, look, lines);
            }
        }
        flow.y += 4.0;
        flow.hairline(flow.y);
        flow.y += 6.0;
    }
    flow.y += BODY.leading / 2.0;
}

/// The sign before a caution, as ornament: the word stands beside it.
fn triangle(flow: &mut Flow, (x, y): (f32, f32)) {
    let segments = vec![
        Segment::Move((x + 6.0, y)),
        Segment::Line((x + 12.0, y + 11.0)),
        Segment::Line((x, y + 11.0)),
        Segment::Close,
        Segment::Move((x + 6.0, y + 3.8)),
        Segment::Line((x + 6.0, y + 7.4)),
        Segment::Move((x + 6.0, y + 8.6)),
        Segment::Line((x + 6.0, y + 9.6)),
    ];
    flow.put(None, Shape::Path { segments, fill: None, line: Some(plain(INK, 1.3)) });
}
