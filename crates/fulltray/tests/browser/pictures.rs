//! The pictures of `docs/first-night.md`, taken from a real first night.

use std::path::PathBuf;

use ft_browser::{Driver, PIN, Session, Site, Size, root};

use crate::crew::{self, Asks, Did};
use crate::{program, until_begun};

fn place(name: &str) -> PathBuf {
    let folder = root().join("docs/screens");
    std::fs::create_dir_all(&folder).expect("a folder for the pictures");
    folder.join(format!("{name}.png"))
}

/// Does what the tablet asks for until a step is shown that has what is looked for.
fn until_it_shows(tablet: &Session, selector: &str) {
    for _ in 0..200 {
        crew::asks(tablet);
        if tablet.count(selector) > 0 {
            return;
        }
        assert_ne!(crew::does(tablet, &[tablet]), Did::Nothing, "there is more to do");
    }
    panic!("no step has {selector}");
}

/// Makes them anew: `cargo test -p fulltray --test browser -- --ignored pictures`. Somebody has to look at each.
#[test]
#[ignore = "makes the pictures of docs/first-night.md anew"]
fn pictures() {
    let Some(driver) = Driver::start() else { return };
    let site = Site::start(&program());
    let phone = driver.session("phone", Size::PHONE);
    let tablet = driver.session("tablet", Size("picture", 820, 900));
    for one in [&phone, &tablet] {
        crew::with_clock(one);
    }

    tablet.go(&site.address());
    tablet.until("the page of the first start", "return document.getElementById('set-up')");
    tablet.type_into("input[name=code]", &site.code());
    tablet.type_into("input[name=name]", "Marisol");
    tablet.type_into("input[name=pin]", PIN);
    tablet.small_picture(&place("set-up"));
    tablet.touch("#set-up button[type=submit]");
    tablet.until("tonight", "return location.pathname === '/'");
    site.sign_in("Marisol");
    site.add("Teo", &["closer"]);

    phone.go(&site.address());
    phone.until("a name", "return document.querySelector('input[name=name]')");
    phone.touch("input[name=name][value=Teo]");
    phone.type_into("input[name=pin]", PIN);
    phone.small_picture(&place("sign-in"));
    phone.touch("#sign-in button[type=submit]");
    phone.until("tonight", "return location.pathname !== '/sign-in'");

    tablet.go(&site.address());
    tablet.until("a plan", "return document.getElementById('start')");
    tablet.small_picture(&place("tonight"));
    tablet.touch("#start");
    until_begun(&tablet);
    until_it_shows(&tablet, "section.now .caution");
    tablet.small_picture(&place("step"));

    // Something that may not be done yet.
    tablet.touch("#other");
    tablet.until("a list", "return document.querySelector('dialog[open] button.held')");
    tablet.touch("dialog[open] button.held");
    tablet.until("a reason", "return document.querySelector('dialog.stop[open]')");
    tablet.small_picture(&place("not-yet"));
    tablet.touch("dialog.stop[open] button.act");

    // A part that is not to be found.
    phone.go(&format!("{}/tray/shake%20freezer", site.address()));
    crew::fill_tray(&phone, 4);
    phone.touch("#slots button[data-state=empty]");
    phone.touch("#not-there");
    phone.until("places", "return document.querySelector('dialog[open] .last-seen')");
    phone.touch("dialog[open] .last-seen");
    phone.until("a search list", "return document.querySelector('#missing li')");
    phone.eval("document.getElementById('missing').scrollIntoView()");
    phone.small_picture(&place("search"));
    tablet.go(&format!("{}/tray/shake%20freezer", site.address()));
    tablet.until("a picture", "return document.querySelector('.tray-picture svg')");
    tablet.small_picture(&place("tray"));
    phone.touch("#slots button[data-state=missing]");
    phone.touch("#found");
    phone.touch("dialog[open] .where");
    crew::until_sent(&phone);

    phone.go(&format!("{}/readings", site.address()));
    phone.touch("#wanted button");
    for key in "150".chars() {
        phone.touch(&format!("dialog[open] [data-key='{key}']"));
    }
    phone.small_picture(&place("readings"));
    phone.touch("#pad-save");
    crew::until_sent(&phone);

    tablet.go(&format!("{}/step", site.address()));
    phone.go(&format!("{}/step", site.address()));
    crew::work(&[&tablet, &phone], 1000);
    assert_eq!(crew::asks(&tablet), Asks::Nothing);
    tablet.go(&format!("{}/tray/shake%20freezer", site.address()));
    crew::fill_tray(&tablet, 500);
    crew::until_sent(&tablet);
    tablet.go(&site.address());
    tablet.touch("#sign");
    tablet.until_text("Tonight is signed");
    tablet.go(&format!("{}/record", site.address()));
    tablet.until("events", "return document.querySelector('table.record tbody tr')");
    tablet.small_picture(&place("record"));
    tablet.go(&format!("{}/release", site.address()));
    tablet.until("an answer", "return document.querySelector('h1')");
    tablet.small_picture(&place("release"));

    for name in NAMES {
        let bytes = std::fs::metadata(place(name)).expect("it was taken").len();
        println!("{name}: {bytes} bytes");
        assert!(bytes < 60_000, "{name} has {bytes} bytes");
    }
}

/// The pictures.
const NAMES: [&str; 10] =
    ["set-up", "sign-in", "tonight", "step", "not-yet", "search", "tray", "readings", "record", "release"];

/// Each picture is in the walk-through, and each that is there is a picture.
#[test]
fn the_walk_through_shows_them() {
    let text = std::fs::read_to_string(root().join("docs/first-night.md")).expect("the walk-through");
    let shown: Vec<&str> = text
        .split("](screens/")
        .skip(1)
        .filter_map(|rest| rest.split_once(".png)"))
        .map(|(name, _)| name)
        .collect();
    for name in NAMES {
        assert!(shown.contains(&name), "{name} is not shown");
    }
    for name in shown {
        assert!(place(name).is_file(), "there is no picture {name}");
    }
}
