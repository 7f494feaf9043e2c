//! Nights from the start to the signature, and what can come between.

use ft_browser::Session;
use serde_json::json;

use crate::crew::{self, Asks, Did};
use crate::{Kitchen, morning};

/// The whole night and the morning after it by two people at two tablets: closed and signed, opened, refused for what
/// is lacking, put right, and released; the record shows all of it.
#[test]
fn two_people_close_the_shake_freezer_and_open_it_to_a_release() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let touches = crew::work(&kitchen.both(), 1000);
    for tablet in kitchen.both() {
        crew::until_sent(tablet);
    }
    kitchen.marisol.go(&kitchen.site.address());
    kitchen.marisol.until_text("Everything is done: sign");
    morning::measure(&kitchen);
    kitchen.sign();
    kitchen.marisol.go(&format!("{}/record", kitchen.site.address()));
    // The newest leaf has the signature; the night goes on over the leaves behind it.
    assert_eq!(kitchen.marisol.count(".signatures li"), 1);
    let mut rows = kitchen.marisol.count("table.record tbody tr");
    while kitchen.marisol.count("a[rel=next]") > 0 {
        kitchen.marisol.touch("a[rel=next]");
        rows += kitchen.marisol.count("table.record tbody tr");
    }
    // Waits that were sat out count as touches too; what was done is what the record says.
    let done = kitchen.site.events().iter().filter(|event| event["fact"]["what"] == "happened").count();
    assert!(done > 100 && rows > done, "{touches} touches, {done} moves, and what was signed: {rows} events");
    for tablet in kitchen.both() {
        assert_eq!(complaints(tablet), Vec::<String>::new(), "{}", tablet.name);
    }
    println!("{touches} touches, {rows} events");
    morning::begin(&kitchen);
    let touches = crew::work(&kitchen.both(), 1000);
    for tablet in kitchen.both() {
        crew::until_sent(tablet);
    }
    morning::release(&kitchen);
    for tablet in kitchen.both() {
        assert_eq!(complaints(tablet), Vec::<String>::new(), "{}", tablet.name);
    }
    println!("{touches} touches in the morning");
}

/// What a page complained of on its console; that a request failed while the cable was cut is no complaint.
fn complaints(tablet: &Session) -> Vec<String> {
    let said = tablet.console();
    said.into_iter().filter(|line| line.contains("SEVERE") && !line.contains("net::ERR_")).collect()
}

/// In the middle of it one tablet loses the network and is loaded anew without it; then the server is killed and comes
/// back. Nothing is lost and nothing happens twice.
#[test]
fn a_night_with_drop_outs() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let both = kitchen.both();
    crew::work(&both, 24);
    kitchen.teo.until("the service worker", "return navigator.serviceWorker.ready.then(() => true)");
    kitchen.teo.go(&format!("{}/step", kitchen.teos_wire.address()));
    for tablet in &both {
        crew::until_sent(tablet);
    }

    kitchen.teos_wire.cut();
    let mut alone = 0;
    loop {
        match crew::does(&kitchen.teo, &both) {
            Did::Touch => alone += 1,
            Did::Look => {}
            Did::Nothing => break,
        }
    }
    let waiting =
        |tablet: &Session| tablet.eval("return Number(document.getElementById('sent').dataset.count)");
    let unsent = waiting(&kitchen.teo);
    assert!(unsent.as_u64() >= Some(alone), "{alone} touches without network, {unsent} not sent");
    let before = crew::asks(&kitchen.teo);
    kitchen.teo.go(&format!("{}/step", kitchen.teos_wire.address()));
    assert_eq!(crew::asks(&kitchen.teo), before, "loaded anew without network, it asks for the same");
    assert_eq!(waiting(&kitchen.teo), unsent, "and still has everything that is not sent");
    kitchen.teo.until_text("no network");
    // Meanwhile the other one goes on, as far as she can without him.
    crew::goes_on(&kitchen.marisol, &both);
    kitchen.teos_wire.mend();
    crew::until_sent(&kitchen.teo);
    crew::work(&both, 20);

    kitchen.site.kill();
    kitchen.marisol.until_text("no network");
    crew::goes_on(&kitchen.marisol, &both);
    kitchen.site.start_again();
    kitchen.teos_wire.lead_to(kitchen.site.port());
    for tablet in &both {
        crew::until_sent(tablet);
    }

    crew::work(&both, 1000);
    for tablet in &both {
        crew::until_sent(tablet);
    }
    kitchen.sign();
    let twice = kitchen.site.events();
    let mut ids: Vec<&str> = twice.iter().filter_map(|event| event["id"].as_str()).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "every event once");
    let moves: Vec<&str> = twice.iter().filter_map(|event| event["fact"]["event"].as_str()).collect();
    let mut once = moves.clone();
    once.sort_unstable();
    once.dedup();
    println!(
        "{alone} touches without network; {} moves in the record, {} of them different",
        moves.len(),
        once.len()
    );
}

/// Two people touch the same step while one has no network: it is one step, done by the first.
#[test]
fn the_same_step_twice_is_one() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    kitchen.teos_wire.cut();
    let Asks::Act(event) = crew::asks(&kitchen.teo) else { panic!("Teo has something to do") };
    crew::does(&kitchen.teo, &[]);
    // Marisol does his step for him, as she does not know.
    kitchen.marisol.touch("#other");
    kitchen.marisol.touch(&format!("dialog button[data-event={}]", json!(event)));
    kitchen.marisol.touch("#done-other");
    crew::until_sent(&kitchen.marisol);
    kitchen.teos_wire.mend();
    crew::until_sent(&kitchen.teo);
    kitchen.marisol.until("his touch", "return document.getElementById('sent').dataset.state === 'sent'");
    let moves = kitchen.site.events();
    let told = moves.iter().filter(|one| one["fact"]["event"] == json!(event)).count();
    assert_eq!(told, 2, "both told it");
    kitchen.marisol.go(&format!("{}/machine/shake%20freezer", kitchen.site.address()));
    kitchen.marisol.until_text("Marisol");
    let done = kitchen
        .marisol
        .eval("return [...document.querySelectorAll('ol.events li.done')].map(li => li.innerText)");
    let lines: Vec<&str> = done.as_array().into_iter().flatten().filter_map(|line| line.as_str()).collect();
    assert_eq!(lines.len(), 1, "and it is one step: {lines:?}");
    assert!(lines[0].contains("Teo") && lines[0].contains("Marisol"), "by both: {lines:?}");
}

/// Taking the door off before the barrel is empty: the tablet stops it and says why, with network and without.
#[test]
fn a_wrong_order_is_stopped_and_explained() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let before = kitchen.site.events().len();
    for is_cut in [false, true] {
        if is_cut {
            kitchen.teos_wire.cut();
        }
        kitchen.teo.touch("#other");
        kitchen.teo.touch("dialog button[data-event^='Door off (left)']");
        kitchen.teo.until("a stop", "return document.querySelector('dialog.stop')");
        let told = kitchen.teo.text("dialog.stop");
        assert!(told.contains("Stop: not yet"), "{told}");
        assert!(told.contains("Door off (left)"), "{told}");
        assert!(kitchen.teo.count("dialog.stop li") > 0, "it says what it waits for: {told}");
        kitchen.teo.touch("dialog.stop button.act");
        kitchen.teo.until("no dialog", "return !document.querySelector('dialog[open]')");
    }
    assert_eq!(kitchen.site.events().len(), before, "nothing was recorded");
}

/// A slip of the finger is taken back, and what differed is recorded, judged and lived with.
#[test]
fn undo_and_differently() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let first = crew::asks(&kitchen.marisol);
    crew::does(&kitchen.marisol, &[]);
    kitchen.marisol.touch("#undo");
    kitchen.marisol.until("no more undo", "return !document.getElementById('undo')");
    assert_eq!(crew::asks(&kitchen.marisol), first);
    kitchen.marisol.touch("#differently");
    kitchen.marisol.touch("#differ-record");
    kitchen.marisol.until_text("Recorded.");
    kitchen.marisol.touch("dialog button.act");
    kitchen.marisol.until("no dialog", "return !document.querySelector('dialog[open]')");
    assert_ne!(crew::asks(&kitchen.marisol), first, "the night goes on");
    crew::until_sent(&kitchen.marisol);
    let facts: Vec<String> = kitchen
        .site
        .events()
        .iter()
        .filter_map(|event| event["fact"]["what"].as_str().map(str::to_owned))
        .collect();
    for what in ["happened", "corrected", "differed"] {
        assert!(facts.iter().any(|fact| fact == what), "{what} is in the record: {facts:?}");
    }
}

/// A part that is not to be found keeps the night from being signed, and stands on the search list until it is found.
#[test]
fn a_missing_part_stops_the_signature() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    crew::work(&kitchen.both(), 1000);
    for tablet in kitchen.both() {
        crew::until_sent(tablet);
    }
    let tray = format!("{}/tray/shake%20freezer", kitchen.site.address());
    kitchen.marisol.go(&tray);
    // The loads that were laid out have filled their slots; a look over the tray finds one of them empty.
    kitchen.marisol.touch("#slots button[data-state=full]");
    kitchen.marisol.touch("#take-out");
    kitchen.marisol.touch("dialog button.last-seen");
    kitchen.marisol.until("a search list", "return document.querySelector('#missing .search li')");
    crew::until_sent(&kitchen.marisol);
    kitchen.marisol.picture(&ft_browser::pictures().join("tray-missing-tablet.png"));
    kitchen.marisol.go(&kitchen.site.address());
    assert_eq!(kitchen.marisol.count("#sign:disabled"), 1, "no signature while a part is missing");
    kitchen.marisol.go(&tray);
    kitchen.marisol.touch("#slots button[data-state=missing]");
    kitchen.marisol.touch("#found");
    kitchen.marisol.touch("dialog button.where");
    kitchen
        .marisol
        .until("no part missing", "return !document.querySelector('#slots button[data-state=missing]')");
    crew::until_sent(&kitchen.marisol);
    kitchen.sign();
}
