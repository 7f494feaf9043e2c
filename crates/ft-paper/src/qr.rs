//! QR codes as a picture. Correction level M: a smudge over a seventh of it still reads.

use qrcode::{Color, EcLevel, QrCode};

use crate::NoPaper;
use crate::picture::{Colour, Picture, Segment, Shape};

/// Light squares around it that the standard (ISO/IEC 18004) asks for.
const QUIET: usize = 4;

/// The QR code of a text, one unit to a square, with its quiet zone.
pub(crate) fn qr(text: &str) -> Result<Picture, NoPaper> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M)
        .map_err(|_| NoPaper::TooLongForQr(text.to_owned()))?;
    let squares = code.width();
    let colours = code.to_colors();
    let mut segments = Vec::new();
    for (row, line) in colours.chunks(squares).enumerate() {
        let mut column = 0;
        while column < squares {
            let run = line[column..].iter().take_while(|colour| **colour == Color::Dark).count();
            if 0 < run {
                let (x, y) = ((QUIET + column) as f32, (QUIET + row) as f32);
                let right = x + run as f32;
                segments.extend([
                    Segment::Move((x, y)),
                    Segment::Line((right, y)),
                    Segment::Line((right, y + 1.0)),
                    Segment::Line((x, y + 1.0)),
                    Segment::Close,
                ]);
            }
            column += run.max(1);
        }
    }
    let size = (squares + 2 * QUIET) as f32;
    let fill = Some(Colour(0, 0, 0, 1.0));
    Ok(Picture { width: size, height: size, shapes: vec![Shape::Path { segments, fill, line: None }] })
}
