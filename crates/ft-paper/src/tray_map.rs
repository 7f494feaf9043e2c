//! The tray on paper: every slot at its true size, with its number.

use ft_draw_tray::{CELL_HEIGHT, CELL_WIDTH, Tray};

use crate::NoPaper;
use crate::document::{Block, Document, Figure};
use crate::picture::Picture;
use crate::sheet::Paper;
use crate::words::say;

/// Millimetres for a unit of the picture: six cells fill the narrower of the two papers.
const SCALE_MM: f32 = 0.25;

/// The map of a tray, as it is now; laid on the tray or hung beside it.
///
/// # Errors
/// [`NoPaper::Picture`]: an error of the program.
pub fn document(tray: &Tray, paper: Paper) -> Result<Document, NoPaper> {
    let language = tray.language.as_str();
    let name = say(language, "tray map", "plano de la bandeja");
    let title = format!("{} – {name}", tray.title);
    let count = tray.slots().count();
    let (wide, high) = (CELL_WIDTH as f32 * SCALE_MM, CELL_HEIGHT as f32 * SCALE_MM);
    let (how_many, scale) = if language == "es" {
        (
            format!(
                "{count} piezas, cada una en su hueco. Un hueco sin pieza se ve; nadie se va hasta que aparezca."
            ),
            format!(
                "Impreso al 100 %, esta barra mide 50 mm y un hueco {wide:.1} × {high:.1} mm. Los contornos muestran \
                 la clase de pieza, no su tamaño."
            ),
        )
    } else {
        (
            format!(
                "{count} single parts, each in its slot. An empty slot shows; nobody goes home before it is found."
            ),
            format!(
                "Printed at 100 %, this bar is 50 mm long and a slot {wide:.1} × {high:.1} mm. Outlines show the kind \
                 of a part, not its size."
            ),
        )
    };
    let mut blocks = vec![Block::Heading(1, title.clone()), Block::Paragraph(how_many), Block::Ruler(scale)];
    // What title, sentence and ruler take on the first page is kept free on all, so that all look alike.
    let rows = ((paper.size_mm().1 - 32.0 - 46.0) / high) as usize;
    for (index, piece) in tray.pieces(rows).iter().enumerate() {
        if 0 < index {
            blocks.push(Block::PageBreak);
        }
        let numbers: Vec<usize> = piece.slots().map(|slot| slot.number).collect();
        let slots = ranges(&numbers);
        let word = say(language, "Slots", "Huecos");
        blocks.push(Block::Heading(2, format!("{word} {slots}")));
        let picture = Picture::read(&ft_draw_tray::svg(piece)).map_err(NoPaper::Picture)?;
        let alt = alt(piece, language);
        blocks.push(Block::Figure(Figure { picture, alt, scale_mm: Some(SCALE_MM) }));
    }
    Ok(Document { title, language: tray.language.clone(), blocks })
}

/// Numbers as ranges: `1–18, 40–57`.
fn ranges(numbers: &[usize]) -> String {
    let runs = numbers.chunk_by(|one, next| one + 1 == *next);
    let run = |run: &[usize]| match run {
        [only] => only.to_string(),
        [first, .., last] => format!("{first}–{last}"),
        [] => String::new(),
    };
    runs.map(run).collect::<Vec<_>>().join(", ")
}

/// Every slot of a piece in words.
fn alt(piece: &Tray, language: &str) -> String {
    let of = say(language, "of", "de");
    let words: Vec<String> = piece
        .slots()
        .map(|slot| {
            let mut words = format!("{}: {}", slot.number, slot.label);
            if let (which, many @ 2..) = slot.nth {
                words.push_str(&format!(" {which} {of} {many}"));
            }
            if let Some(side) = &slot.side {
                words.push_str(&format!(", {side}"));
            }
            format!("{words}, {}", slot.state.word(language))
        })
        .collect();
    words.join("; ")
}
