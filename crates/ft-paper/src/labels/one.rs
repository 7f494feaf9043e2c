//! One label: words at the left, the code at the right; letters as large as the label allows.

use crate::labels::Label;
use crate::layout::{Flow, INK, Look, Role, plain, rectangle};
use crate::picture::{Colour, Shape};
use crate::sheet::MM;
use crate::words::say;
use crate::{NoPaper, qr};

const PAD: f32 = 2.5 * MM;
/// Smallest size of a letter, in points. Source: none, our choice; read at arm's length in a cold room.
const SMALLEST: f32 = 6.0;

/// Words of a label at its full size: text, size, bold.
fn words(label: &Label, language: &str) -> Vec<(String, f32, bool)> {
    let mut words = vec![(label.product.clone(), 14.0, true)];
    let discard = say(language, "Discard by", "Desechar antes de");
    words.push((format!("{discard}\n{}", label.discard_by), 14.0, true));
    words.push((format!("{} {}", say(language, "Lot", "Lote"), label.lot), 11.0, true));
    let mut more = |name: &str, text: &str, bold: bool| {
        if !text.is_empty() {
            words.push((format!("{name} {text}").trim().to_owned(), 9.0, bold));
        }
    };
    more(say(language, "Opened", "Abierto"), &label.begun, false);
    more(say(language, "Keep", "Conservar"), &label.keep, false);
    more(say(language, "Contains:", "Contiene:"), &label.allergens.join(", "), true);
    more("", &label.note, false);
    words
}

/// Draws it with its upper left corner at (`left`, `top`).
pub(super) fn draw(
    flow: &mut Flow,
    label: &Label,
    (left, top): (f32, f32),
    (wide, high): (f32, f32),
    (language, has_frame): (&str, bool),
) -> Result<(), NoPaper> {
    let code = if label.code.is_empty() { &label.lot } else { &label.code };
    let picture = qr::qr(code)?;
    let side = (high - 2.0 * PAD).min(wide * 0.36).min(32.0 * MM);
    // Squares below a third of a millimetre are lost on a damp label. Source: none, our choice.
    if side / picture.width < 0.33 * MM {
        return Err(NoPaper::TooLongForQr(code.clone()));
    }
    let words = words(label, language);
    let room = (wide - side - 2.5 * PAD, high - 2.0 * PAD);
    let (scale, lines) = fitting(flow, &words, room).ok_or_else(|| {
        NoPaper::Measure(format!(
            "the label of lot {} is too small for its words at {SMALLEST} points",
            label.lot
        ))
    })?;
    if has_frame {
        let segments = rectangle((left, top), (wide, high));
        let line = plain(Colour(187, 187, 187, 1.0), 0.4);
        flow.put(None, Shape::Path { segments, fill: None, line: Some(line) });
    }
    let section = flow.node(Role::Section, None);
    let mut y = top + PAD;
    for (index, ((_, size, bold), lines)) in words.iter().zip(lines).enumerate() {
        let look = look(scaled(*size, scale), *bold);
        // The date that decides is boxed.
        if index == 1 {
            let box_high = look.leading * lines.len() as f32 + 3.0;
            let segments = rectangle((left + PAD - 2.0, y - 1.0), (room.0 + 2.0, box_high));
            flow.put(None, Shape::Path { segments, fill: None, line: Some(plain(INK, 1.4)) });
            y += 1.0;
        }
        let node = flow.node(Role::Paragraph, Some(section));
        for line in lines {
            flow.text(Some(node), (left + PAD + 1.0, y + look.size * 0.95), look, &line);
            y += look.leading;
        }
        y += if index <= 1 { 4.0 * scale } else { 1.0 };
    }
    let alt = format!("{}: {code}", say(language, "QR code", "Código QR"));
    let figure = flow.node(Role::Figure(alt), Some(section));
    let at = (left + wide - PAD - side, top + (high - side) / 2.0);
    flow.picture(figure, &picture, at, side / picture.width);
    Ok(())
}

/// Small print stays readable while the rest shrinks.
fn scaled(size: f32, scale: f32) -> f32 {
    (size * scale).max(SMALLEST)
}

fn look(size: f32, bold: bool) -> Look {
    Look { size, bold, colour: INK, leading: size * 1.2 }
}

/// The greatest scale at which all words fit, and their lines.
fn fitting(flow: &Flow, words: &[(String, f32, bool)], room: (f32, f32)) -> Option<(f32, Vec<Vec<String>>)> {
    for step in 0..23 {
        let scale = 1.6 - 0.05 * step as f32;
        let size = |size: f32| scaled(size, scale);
        let lines: Vec<Vec<String>> = words
            .iter()
            .map(|(text, full, bold)| flow.fonts.lines(text, size(*full), *bold, room.0 - 3.0))
            .collect();
        let height: f32 = words
            .iter()
            .zip(&lines)
            .map(|((_, full, bold), lines)| look(size(*full), *bold).leading * lines.len() as f32)
            .sum::<f32>()
            + 8.0 * scale
            + words.len() as f32
            + 2.0;
        // A word that is broken inside is a word that does not fit.
        let is_whole = words.iter().all(|(text, full, bold)| {
            text.split([' ', '\n']).all(|word| flow.fonts.width(word, size(*full), *bold) <= room.0 - 3.0)
        });
        if height <= room.1 && (is_whole || scale < 0.8) {
            return Some((scale, lines));
        }
    }
    None
}
