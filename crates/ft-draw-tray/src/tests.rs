//! The pictures are read with an XML reader of other people, not by searching in the text.

use super::*;

fn machine(file: &str) -> ft_machine::Machine {
    let path = format!("{}/../../demo/{file}", env!("CARGO_MANIFEST_DIR"));
    let (file, problems) = ft_compile::read(&std::fs::read_to_string(path).expect("the demo is there"));
    assert!(!ft_compile::has_errors(&problems));
    file.machine.expect("a machine file")
}

fn slots(picture: &str) -> Vec<(String, String, String)> {
    let tree = roxmltree::Document::parse(picture).expect("well-formed");
    let of = |node: roxmltree::Node<'_, '_>, name: &str| node.attribute(name).unwrap_or_default().to_owned();
    tree.descendants()
        .filter(|node| node.attribute("data-state").is_some())
        .map(|node| (of(node, "id"), of(node, "data-state"), of(node, "data-part")))
        .collect()
}

/// The file says how many there are of each, on how many sides.
#[test]
fn every_single_part_has_one_slot() {
    let machine = machine("twist.machine.kdl");
    let tray = tray(&machine, &[], "en");
    let singles: u32 = machine
        .parts
        .iter()
        .filter(|part| part.slot.is_some())
        .map(|part| part.count * if part.named.per_side { machine.sides.len() as u32 } else { 1 })
        .sum();
    let drawn = slots(&svg(&tray));
    assert_eq!(drawn.len(), singles as usize);
    // Side cores: 2 sides of 1; their rings: 2 sides of 2; rings of the centre core: 3.
    let count = |part: &str| drawn.iter().filter(|(_, _, name)| name == part).count();
    assert_eq!((count("side valve core"), count("side core ring"), count("centre core ring")), (2, 4, 3));
    for (index, (id, state, _)) in drawn.iter().enumerate() {
        assert_eq!((id.as_str(), state.as_str()), (format!("slot-{}", index + 1).as_str(), "empty"));
    }
}

#[test]
fn options_that_are_not_fitted_have_no_slots() {
    let machine = machine("shake.machine.kdl");
    let without = tray(&machine, &[], "en");
    let with = tray(&machine, &[0], "en");
    assert_eq!(with.slots().count() - without.slots().count(), 4, "fourth cap and ring, on two sides");
}

/// With every colour taken away the five states still look different, in line, mark and word.
#[test]
fn states_differ_without_colour() {
    let mut seen = std::collections::BTreeSet::new();
    for state in State::ALL {
        let mut tray = tray(&machine("twist.machine.kdl"), &[], "en");
        tray.shared[0].state = state;
        let mut picture = slot(&tray, 1).expect("it is there");
        for colour in ["#0b5563", "#111", "#777", "#d9ecee", "#fff"] {
            picture = picture.replace(colour, "black");
        }
        let picture = picture.replace(state.name(), "").replace(state.word("en"), "");
        assert!(seen.insert(picture), "{state:?} looks like another");
    }
    let words = |language| {
        State::ALL.map(|state| state.word(language)).into_iter().collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!((words("en").len(), words("es").len()), (5, 5));
}

#[test]
fn a_slot_by_itself_is_the_one_in_the_picture() {
    let tray = tray(&machine("juice.machine.kdl"), &[], "es");
    let whole = svg(&tray);
    for one in tray.slots() {
        assert!(whole.contains(&slot(&tray, one.number).expect("it is there")));
    }
    assert_eq!(slot(&tray, 10_000), None);
    assert_eq!(whole, svg(&tray));
}

#[test]
fn pieces_hold_every_slot_once_and_no_more_rows_than_asked() {
    for file in ["shake", "twist", "slicer", "juice"] {
        let tray = tray(&machine(&format!("{file}.machine.kdl")), &[], "en");
        let pieces = tray.pieces(7);
        let numbers: Vec<usize> =
            pieces.iter().flat_map(|piece| piece.slots().map(|slot| slot.number)).collect();
        let mut sorted = numbers.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (1..=tray.slots().count()).collect::<Vec<_>>());
        for piece in pieces {
            let across = layout::columns_of_side(piece.sides.len());
            let rows = piece.shared.len().div_ceil(COLUMNS)
                + piece.sides.iter().map(|side| side.slots.len().div_ceil(across)).max().unwrap_or(0);
            assert!(0 < rows && rows <= 7);
        }
    }
}

#[test]
fn names_tell_the_outline() {
    for (name, outline) in [
        ("feed tube ring", Outline::Ring),
        ("feed tube", Outline::Tube),
        ("blade screw", Outline::Screw),
        ("End-weight knob", Outline::Knob),
        ("anillo del tubo", Outline::Ring),
        ("tornillos de la cuchilla", Outline::Screw),
    ] {
        assert_eq!(Outline::of_name(name), Some(outline), "{name}");
    }
    assert_eq!(Outline::of_name("thing"), None);
    for file in ["shake", "twist", "slicer", "juice"] {
        let tray = tray(&machine(&format!("{file}.machine.kdl")), &[], "en");
        let plain = tray.slots().filter(|slot| slot.outline == Outline::Block).count();
        assert!(plain * 5 <= tray.slots().count(), "{file}: {plain} have no outline of their own");
    }
}

#[test]
fn hostile_names_stay_text() {
    let mut tray = tray(&machine("juice.machine.kdl"), &[], "en");
    tray.shared[0].label = "<script>\"&\u{1}".into();
    tray.shared[0].part = "\"/><x>".into();
    tray.title = "</title>".into();
    let picture = svg(&tray);
    assert_eq!(slots(&picture).len(), tray.slots().count());
}
