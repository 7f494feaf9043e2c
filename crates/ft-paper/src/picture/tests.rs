//! Small pictures, and what becomes of them.

use super::*;

fn svg(inner: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 50\" font-size=\"10\">{inner}</svg>")
}

#[test]
fn moves_and_scales_reach_the_shapes() {
    let text = svg(
        "<g transform=\"translate(10 20) scale(2)\"><line x1=\"1\" y1=\"2\" x2=\"-3\" y2=\"4\" stroke=\"#0b5563\"/></g>",
    );
    let picture = Picture::read(&text).expect("ours");
    let Shape::Path { segments, line, .. } = &picture.shapes[0] else { panic!("a line") };
    assert_eq!(segments, &[Segment::Move((12.0, 24.0)), Segment::Line((4.0, 28.0))]);
    assert_eq!(line.as_ref().map(|line| (line.width, line.colour)), Some((2.0, Colour(11, 85, 99, 1.0))));
}

#[test]
fn small_letters_of_a_path_are_relative() {
    let absolute = path::path("M10 10L20 10V30H5ZM1 1C1 2 3 4 5 6");
    assert_eq!(absolute, path::path("m10 10l10,0v20h-15zm-9-9c0 1 2 3 4 5"));
    assert!(absolute.is_some());
    for bad in ["A1 2 3", "M1", "10 10", "Mx", "M1 2Q1 2 3 4", "M1 NaN"] {
        assert_eq!(path::path(bad), None, "{bad}");
    }
}

#[test]
fn what_is_not_known_is_named() {
    for (inner, named) in [
        ("<image/>", "image"),
        ("<g style=\"x\"/>", "style"),
        ("<g transform=\"rotate(3)\"/>", "rotate"),
        ("<rect fill=\"url(#x)\"/>", "url(#x)"),
        ("<rect x=\"wide\"/>", "wide"),
    ] {
        let bad = Picture::read(&svg(inner)).expect_err(inner).to_string();
        assert!(bad.contains(named), "{bad}");
    }
    assert!(Picture::read("no").is_err());
    assert!(Picture::read("<svg viewBox=\"0 0 0 0\"/>").is_err());
}

/// A strip keeps a text once, though the shapes that it cuts through are in both.
#[test]
fn strips_share_shapes_but_no_words() {
    let text = svg(
        "<rect width=\"100\" height=\"10\"/><text x=\"40\" y=\"9\">left</text><text x=\"60\" y=\"9\">right</text>",
    );
    let picture = Picture::read(&text).expect("ours");
    let (one, two) = (picture.strip(0.0, 50.0), picture.strip(50.0, 100.0));
    assert_eq!((one.shapes.len(), two.shapes.len()), (4, 4));
    assert!(
        matches!(&two.shapes[2], Shape::Text { x, text, .. } if (*x - 10.0).abs() < 1e-6 && text == "right")
    );
}
