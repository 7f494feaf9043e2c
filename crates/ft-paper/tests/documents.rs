//! Every document, on both papers and in both languages, read back by programs of other people: poppler for text,
//! fonts and pixels, pikepdf for the structure, zbar for codes. Where one is not installed the test says SKIPPED.
//!
//! The files stay in `target/tmp`, to be looked at.

mod outside;
mod samples;

use outside::{Structure, codes, fonts, pages, structure, text};
use samples::{Sample, all, some};

/// Words that must be found again, in the order in which somebody would hear them.
fn words(sample: &Sample) -> &'static [&'static str] {
    match (sample.name, sample.language) {
        ("cards", "en") => &[
            "The times are a plan",
            "Marisol – twist machine",
            "Caution: The door cracks",
            "Door off",
            "→ slicer",
        ],
        ("cards", _) => {
            &["Las horas son un plan", "Marisol – twist machine", "Cuidado: The door cracks", "→ slicer"]
        }
        ("tray", "en") => {
            &["single parts", "this bar is 50 mm long", "drip tray", "centre core ring", "empty"]
        }
        ("tray", _) => &["piezas, cada una", "bandeja de goteo", "vacío"],
        ("poster", "en") => &["why this order", "Reasons", "Then", "Why"],
        ("poster", _) => &["por qué en este orden", "Motivos"],
        ("packet", "en") => &[
            "May it serve?",
            "Yes: it may serve.",
            "No: it may not serve.",
            "piston ring",
            "gap",
            "3f6c0a5b9d1e47728c0f",
        ],
        ("packet", _) => &["¿Puede servir?", "Sí: puede servir.", "no se sabe", "hueco", "Piezas"],
        (_, "en") => &["Soft mix, vanilla", "Discard by", "Sat 14 Mar", "Contains: milk, soya"],
        (_, _) => &["Mezcla de", "Desechar antes de", "sáb 14 mar", "Contiene: leche, soja"],
    }
}

#[test]
fn text_can_be_taken_out_and_every_font_is_inside() {
    for sample in all() {
        let Some(found) = text(sample) else { return };
        let found = found.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in words(sample) {
            // What is broken at the end of a line is still one text with a space.
            assert!(found.contains(words), "{}: `{words}` is not in\n{found}", sample.file());
        }
        for font in fonts(sample).expect("pdffonts comes with pdftotext") {
            assert!(font.embedded && font.subset && font.unicode, "{}: {font:?}", sample.file());
        }
    }
}

#[test]
fn the_structure_is_there() {
    for sample in all() {
        let Some(Structure { language, title, marked, show_title, ua_part, kinds, untitled_figures }) =
            structure(sample)
        else {
            return;
        };
        let name = sample.file();
        assert_eq!(language, sample.language, "{name}");
        assert!(!title.is_empty() && marked && show_title, "{name}");
        assert_eq!(ua_part, "1", "{name}");
        assert_eq!(untitled_figures, 0, "{name}");
        let wanted: &[&str] = match sample.name {
            "cards" => &["H1", "H2", "P", "L", "LI", "Lbl", "LBody", "Figure"],
            "tray" => &["H1", "H2", "P", "Figure"],
            "poster" => &["H1", "H2", "P", "Figure", "Table", "TR", "TH", "TD"],
            "packet" => &["H1", "H2", "H3", "P", "L", "LI", "Table", "TR", "TH", "TD", "Figure"],
            _ => &["P", "Figure"],
        };
        for kind in wanted {
            assert!(kinds.iter().any(|found| found == kind), "{name}: no {kind} in {kinds:?}");
        }
    }
}

#[test]
fn the_sheets_have_the_size_that_was_asked_for() {
    for sample in all() {
        let Some((count, (wide, high))) = pages(sample) else { return };
        assert!(0 < count && count < 40, "{}: {count} pages", sample.file());
        let (short, long) =
            if sample.paper == ft_paper::Paper::A4 { (595.28, 841.89) } else { (612.0, 792.0) };
        let wanted = match sample.name {
            "poster" => (long, short),
            "label" if sample.language == "en" => (90.0 * 72.0 / 25.4, 50.0 * 72.0 / 25.4),
            "label" => (62.0 * 72.0 / 25.4, 40.0 * 72.0 / 25.4),
            _ => (short, long),
        };
        let near = |one: f64, other: f64| (one - other).abs() < 0.1;
        assert!(near(wide, wanted.0) && near(high, wanted.1), "{}: {wide} × {high}", sample.file());
    }
}

/// The codes are read from the pixels of the page, as a camera would.
#[test]
fn codes_say_what_they_should() {
    for sample in all().iter().filter(|sample| ["labels", "label", "packet"].contains(&sample.name)) {
        let Some(found) = codes(sample) else { return };
        let wanted: &[&str] = match (sample.name, sample.language) {
            ("packet", _) => &["3f6c0a5b9d1e47728c0f5a6be1d29a40c7735e88f1b04d6692ad3c51e07fb894"],
            (_, "en") => &["fulltray:lot:MS-4471", "fulltray:lot:V-0311-R2", "fulltray:lot:V-0311-R2"],
            (_, _) => &["fulltray:lot:V-0311-R2"; 3],
        };
        assert_eq!(found, wanted, "{}", sample.file());
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    for (one, two) in all().iter().zip(some("en", ft_paper::Paper::A4)) {
        assert!(one.bytes == two.bytes, "{}", one.file());
    }
}

/// Letters that the fonts lack, and names that try to be something else, do not keep a document from being made.
#[test]
fn hostile_words_stay_words() {
    let nasty = "\u{1}\u{fffe}\u{e000}漢字 <b>\n\n\tx".to_owned() + &"w".repeat(3000);
    let document = ft_paper::Document {
        title: nasty.clone(),
        language: "en".into(),
        blocks: vec![
            ft_paper::Block::Heading(1, nasty.clone()),
            ft_paper::Block::Paragraph(nasty.clone()),
            ft_paper::Block::List(vec![nasty.clone(), String::new()]),
            ft_paper::Block::Table(ft_paper::Table {
                summary: nasty.clone(),
                head: vec![nasty.clone(), String::new()],
                shares: vec![1.0, 9.0],
                rows: vec![vec![nasty.clone(), nasty.repeat(4)], vec![String::new(), String::new()]],
                marks: vec![ft_paper::Mark::Bad],
            }),
        ],
    };
    assert!(ft_paper::pdf(&document, ft_paper::Paper::Letter, ft_paper::Turn::Portrait).is_ok());
    let empty = ft_paper::Document { title: "x".into(), language: "en".into(), blocks: Vec::new() };
    assert!(ft_paper::pdf(&empty, ft_paper::Paper::A4, ft_paper::Turn::Portrait).is_ok());
}
