//! `fulltray run`: a night at the keyboard, line by line, on a real record.

mod hand;

use ft_record::Fact;
use hand::{Hand, Kitchen, PIN, fulltray, tail};

/// The number before an option of the list that is shown.
#[track_caller]
fn number_of(page: &str, option: &str) -> String {
    let line = page
        .lines()
        .find(|line| line.contains(option))
        .unwrap_or_else(|| panic!("{option:?} is not in:\n{page}"));
    line.split_whitespace().next().expect("a number").to_owned()
}

#[track_caller]
fn says(page: &str, words: &[&str]) {
    // What is wrapped into lines is read as one.
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in words {
        assert!(flat.contains(words), "{words:?} is not in:\n{page}");
    }
}

/// One person closes the shake freezer from the first line to the signature, and every command knows the night.
#[test]
fn a_whole_closing_is_signed() {
    let kitchen = Kitchen::new("whole");
    let mut hand = Hand::sits_down(&kitchen);
    hand.begins("Marisol", "yes");
    let answers = hand.works(2000);
    let slots = hand.fills_the_tray();
    println!("{answers} answers, {slots} slots");
    let page = hand.sees("s");
    says(&page, &["Marisol signs that it was done as the record says. PIN:"]);
    hand.types("0000");
    hand.types("s");
    hand.types(PIN);
    let (code, said) = hand.ended();
    assert_eq!(code, 0, "{}", tail(&said));
    says(&said, &["Name and PIN do not belong together. Not signed.", "Signed by Marisol", "Time is over"]);
    assert!(said.contains('\u{7}'), "timers ring");
    assert!(!said.contains('\u{1b}'), "plain lines have no colours");

    let store = kitchen.store();
    let (code, told) = fulltray(&["record", "verify", &store]);
    assert_eq!(code, Some(0), "{told}");
    let (code, told) = fulltray(&["lots", "--store", &store]);
    assert_eq!(code, Some(0), "{told}");
    // A night that was closed and not opened may not serve; nothing else of the closing stands against it but what a
    // first night lacks. The question is asked after the night, whose clock went ahead of this one.
    let (code, told) =
        fulltray(&["release", &kitchen.file(), "--store", &store, "--at", "2099-01-01T00:00Z"]);
    assert_eq!(code, Some(1), "{told}");
    says(&told, &["was not opened since its last closing", "practice is not passed"]);
    assert!(!told.contains("not-signed") && !told.contains("reading"), "{told}");
    let (code, told) = fulltray(&["wear", "--store", &store]);
    assert_eq!(code, Some(0), "{told}");
}

/// A step before its turn is refused, and told why; the record knows nothing of it.
#[test]
fn a_wrong_order_is_refused_and_explained() {
    let kitchen = Kitchen::new("order");
    let mut hand = Hand::starts(&kitchen, &[]);
    hand.begins("1", "y");
    let list = hand.sees("else");
    says(&list, &["Everything that may be done now, and what has to wait.", "(waits)"]);
    let door = number_of(&list, "Door off (left)");
    let page = hand.sees(&door);
    says(&page, &["Stop: not yet", "Why not yet? Door off (left)", "comes first"]);
    let (code, said) = hand.ended();
    assert_eq!(code, 3, "{}", tail(&said));
    says(&said, &["The night stays open."]);
    let facts = kitchen.facts();
    assert!(!facts.iter().any(|event| matches!(event.fact, Fact::Happened { .. })), "{facts:?}");
}

/// A part that is not to be found goes on the search list and stops the signature until it is found or replaced.
#[test]
fn a_missing_part_stops_the_signature() {
    let kitchen = Kitchen::new("missing");
    let mut hand = Hand::starts(&kitchen, &[]);
    hand.begins("Marisol", "yes");
    let page = hand.sees("tray");
    says(&page, &["Slots filled: 0 /", "Slot A1: drip tray", "Lies it there?"]);
    hand.types("maybe");
    hand.types("no");
    let page = hand.sees("3");
    says(&page, &["Search list", "drip tray → A1", "still on the machine", "Slot A2"]);
    let page = hand.sees("");
    says(&page, &["done", "▶"]);
    let page = hand.sees("sign");
    says(&page, &["It cannot be signed yet:", "drip tray is missing.", "steps have not been done."]);
    hand.types("tray");
    hand.types("1");
    let page = hand.sees("2");
    says(&page, &["Slots filled: 1 /", "Slot A2"]);
    hand.types("");
    let page = hand.sees("sign");
    assert!(!page.contains("is missing"), "{page}");
    drop(hand.ended());
    let facts: Vec<Fact> = kitchen.facts().into_iter().map(|event| event.fact).collect();
    assert!(facts.iter().any(|fact| matches!(fact, Fact::PartMissing { last_seen: Some(_), .. })));
    assert!(facts.iter().any(|fact| matches!(fact, Fact::PartFound { .. })));
    assert!(facts.iter().any(|fact| matches!(fact, Fact::PartSeen { slot, .. } if slot == "A1")));
}

/// Killed in the middle, as by a power cut: what was acknowledged is there, and the same command goes on with it.
#[test]
fn a_killed_night_goes_on() {
    let kitchen = Kitchen::new("killed");
    let mut hand = Hand::starts(&kitchen, &[]);
    hand.begins("Marisol", "yes");
    hand.works(12);
    let before = hand.page().to_owned();
    hand.killed();
    let head = |page: &str| {
        let line = page.lines().find(|line| line.contains(" done · ")).expect("a head").to_owned();
        line.split(" · ").nth(2).expect("how far").to_owned()
    };
    let mut again = Hand::starts(&kitchen, &[]);
    again.types("Marisol");
    let page = again.sees(PIN);
    says(&page, &["Going on with the night that began"]);
    assert_eq!(head(&page), head(&before), "nothing that was acknowledged is lost");
    again.works(4);
    let (code, said) = again.ended();
    assert_eq!(code, 3, "{}", tail(&said));
    let orders: Vec<u64> = kitchen
        .facts()
        .iter()
        .filter(|event| event.device.starts_with("keyboard-"))
        .map(|event| event.order)
        .collect();
    assert!(orders.windows(2).all(|pair| pair[0] + 1 == pair[1]), "the device counts on: {orders:?}");
    let (code, told) = fulltray(&["record", "verify", &kitchen.store()]);
    assert_eq!(code, Some(0), "{told}");
}

/// The same in Spanish, from the first line on; and from one language to the other in the middle.
#[test]
fn a_night_in_spanish() {
    let kitchen = Kitchen::new("spanish");
    let mut hand = Hand::starts(&kitchen, &["--language", "es"]);
    let page = hand.page().to_owned();
    says(&page, &["La noche en este teclado", "¿Quién dirige esta cocina?", "Nombre o número:"]);
    hand.begins("Marisol", "sí");
    let page = hand.page().to_owned();
    says(&page, &["BATIDORA HELADORA", "hechos · Salida a las", "h = Hecho", "h hecho · b deshacer"]);
    let page = hand.sees("h");
    says(&page, &["Anotado: Parar"]);
    let page = hand.sees("p");
    says(&page, &["¿Por qué"]);
    let page = hand.sees("qué");
    says(&page, &["«qué» no significa nada aquí."]);
    let page = hand.sees("idioma");
    says(&page, &["SHAKE FREEZER", "d = Done"]);
    drop(hand.ended());
    // Whoever was set up in Spanish reads Spanish the next time.
    let mut again = Hand::starts(&kitchen, &[]);
    again.types("marisol");
    let page = again.sees(PIN);
    says(&page, &["BATIDORA HELADORA"]);
    drop(again.ended());
}

/// What nobody should type, typed.
#[test]
fn bad_input_changes_nothing() {
    let kitchen = Kitchen::new("bad");
    let mut hand = Hand::starts(&kitchen, &[]);
    for line in ["", "Marisol", PIN, "999999"] {
        hand.types(line);
    }
    let page = hand.page().to_owned();
    says(&page, &["These are two PINs. Nothing was set."]);
    for line in ["Marisol", "1234", "1234"] {
        hand.types(line);
    }
    says(hand.page(), &["This PIN will not do. (W0424)"]);
    for line in ["Marisol", PIN, PIN, "perhaps"] {
        hand.types(line);
    }
    says(hand.page(), &["Begin now?"]);
    hand.sees("yes");
    let before = kitchen.facts().len();
    for (line, answer) in [
        ("7", "There is nothing to choose by number here."),
        ("frobnicate", "“frobnicate” means nothing here."),
        ("\u{1b}[31m", "means nothing here"),
        ("done done", "means nothing here"),
        ("", "▶"),
    ] {
        let page = hand.sees(line);
        says(&page, &[answer]);
    }
    let long = "x".repeat(200_000);
    let page = hand.sees(&long);
    assert!(page.len() < 5000, "a long line is not told back whole");
    hand.types("m");
    let page = hand.sees("1");
    says(&page, &["in mg/L:"]);
    for bad in ["lots", "1e9", "NaN"] {
        let page = hand.sees(bad);
        says(&page, &["is no number in mg/L. Nothing was recorded."]);
        hand.types("m");
        hand.types("1");
    }
    hand.types("");
    hand.types("e");
    let page = hand.sees("0");
    says(&page, &["“0” is none of these."]);
    hand.types("");
    let (code, said) = hand.ended();
    assert_eq!(code, 3, "{}", tail(&said));
    assert_eq!(kitchen.facts().len(), before, "none of it is in the record");
    // A wrong PIN, and somebody whom the kitchen file does not know.
    let mut stranger = Hand::starts(&kitchen, &[]);
    for line in ["Nobody", PIN, "Marisol", "135790", "Marisol", "135790", "Marisol", "135790", "Marisol", PIN]
    {
        stranger.types(line);
    }
    let (code, said) = stranger.ended();
    assert_eq!(code, 1, "{}", tail(&said));
    says(&said, &["Name and PIN do not belong together.", "Too many wrong PINs: wait 0:0"]);
    let (code, told) = fulltray(&["run", "nowhere.kdl", "--store", &kitchen.store()]);
    assert!(code == Some(2) && told.contains("nowhere.kdl"), "{told}");
    let (code, told) = fulltray(&["run", "--language", "eo"]);
    assert!(code == Some(2) && told.contains("`en` and `es`"), "{told}");
}

/// One person cannot close the whole demo kitchen in time: that is said with its reason, and nothing begins.
#[test]
fn too_much_for_one() {
    let kitchen = Kitchen::new("alone");
    let mut hand = Hand::starts_demo(&kitchen);
    for line in ["Marisol", PIN, PIN] {
        hand.types(line);
    }
    let (code, said) = hand.ended();
    assert_eq!(code, 1, "{}", tail(&said));
    says(
        &said,
        &["There is no plan for this night:", "everybody is out in time", "More people or more time"],
    );
    let facts = kitchen.facts();
    assert!(!facts.iter().any(|event| matches!(event.fact, Fact::RunOpened { .. })), "{facts:?}");
}

/// The smaller ways: undo, why, next, a reading, and what happened differently.
#[test]
fn undo_why_next_and_differently() {
    let kitchen = Kitchen::new("ways");
    let mut hand = Hand::starts(&kitchen, &[]);
    hand.begins("Marisol", "yes");
    let first = hand.page().lines().find(|line| line.contains('▶')).expect("a step").to_owned();
    hand.types("d");
    let page = hand.sees("u");
    says(&page, &["Undo:", &first.replace('▶', "").split_whitespace().collect::<Vec<_>>().join(" ")]);
    assert!(page.contains(&first), "the step is asked for again:\n{page}");
    let page = hand.sees("undo");
    says(&page, &["There is nothing of yours that can be taken back"]);
    let page = hand.sees("w");
    says(&page, &["Why this now?"]);
    let page = hand.sees("n");
    says(&page, &["Next", "Marisol"]);
    hand.types("m");
    hand.types("1");
    let page = hand.sees("150");
    says(&page, &["150 mg/L", "✓ Within the limit."]);
    hand.types("m");
    hand.types("1");
    let page = hand.sees("40,5 mg/L");
    says(&page, &["40.5 mg/L", "✗"]);
    // The door came off before its turn: that is recorded, judged, and the night goes on.
    hand.types("x");
    let list = hand.sees("1");
    let door = number_of(&list, "Door off (left)");
    hand.types(&door);
    let page = hand.sees("5");
    says(&page, &["Why (a few words)"]);
    let page = hand.sees("somebody was in a hurry");
    says(&page, &["Recorded.", "What is left"]);
    let page = hand.sees("?");
    says(&page, &["q quit – quit; the night goes on later", "t tray"]);
    let page = hand.sees("c");
    says(&page, &["No timer runs."]);
    let (code, _) = {
        hand.types("q");
        hand.ended()
    };
    assert_eq!(code, 3);
    let facts: Vec<Fact> = kitchen.facts().into_iter().map(|event| event.fact).collect();
    let differed = facts.iter().find_map(|fact| match fact {
        Fact::Differed { event: Some(event), because, .. } => Some((event.clone(), because.clone())),
        _ => None,
    });
    assert_eq!(differed.expect("it is in the record").1, "somebody was in a hurry");
    assert!(facts.iter().any(
        |fact| matches!(fact, Fact::Reading { good: Some(false), value, .. } if (value - 40.5).abs() < 1e-9)
    ));
}

/// In a terminal one key is a command, a key that is held counts once, and nobody sees the PIN.
#[test]
fn keys_in_a_terminal() {
    let kitchen = Kitchen::new("terminal");
    let Some(mut hand) = Hand::at_a_terminal(&kitchen) else { return };
    hand.begins("1", "y");
    let page = hand.page().to_owned();
    assert!(page.contains("\u{1b}[") && page.contains("▶"), "a page of its own: {page}");
    hand.presses("dddddddd");
    let page = hand.page().to_owned();
    says(&page, &["Recorded:"]);
    hand.presses("?");
    says(hand.page(), &["timers that run"]);
    hand.presses("q");
    let (code, said) = hand.ended();
    assert_eq!(code, 3, "{}", tail(&said));
    assert!(!said.contains(PIN), "the PIN was shown");
    let told =
        kitchen.facts().into_iter().filter(|event| matches!(event.fact, Fact::Happened { .. })).count();
    assert_eq!(told, 1, "a key that is held counts once");
}
