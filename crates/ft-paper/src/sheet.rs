//! Sizes of paper, in points (72 to an inch).

/// Points in a millimetre.
pub(crate) const MM: f32 = 72.0 / 25.4;

/// The size of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI A).
    Letter,
}

/// Which way the sheet lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turn {
    /// Upright.
    #[default]
    Portrait,
    /// On its long side.
    Landscape,
}

impl Paper {
    /// Width and height upright, in millimetres.
    pub fn size_mm(self) -> (f32, f32) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// A sheet with its margins, in points from the upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sheet {
    pub width: f32,
    pub height: f32,
    pub left: f32,
    pub right: f32,
    pub top: f32,
    pub bottom: f32,
}

impl Sheet {
    pub fn new(paper: Paper, turn: Turn) -> Self {
        let (short, long) = paper.size_mm();
        let (width, height) = match turn {
            Turn::Portrait => (short * MM, long * MM),
            Turn::Landscape => (long * MM, short * MM),
        };
        let side = 15.0 * MM;
        Self { width, height, left: side, right: width - side, top: 15.0 * MM, bottom: height - 17.0 * MM }
    }

    /// A sheet without margins, in millimetres.
    pub fn bare(width_mm: f32, height_mm: f32) -> Self {
        let (width, height) = (width_mm * MM, height_mm * MM);
        Self { width, height, left: 0.0, right: width, top: 0.0, bottom: height }
    }

    pub fn inner(&self) -> f32 {
        self.right - self.left
    }
}
