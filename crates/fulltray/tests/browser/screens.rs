//! Every page in every size: nothing hidden, nothing that a screen reader cannot use, nothing heavy; by keyboard alone.

use ft_browser::{Session, Size, npm, pictures};
use serde_json::{Value, json};

use crate::tells::{self, Tablet};
use crate::{Kitchen, crew};

/// The pages of a night, by name and path.
const PAGES: [(&str, &str); 8] = [
    ("tonight", "/"),
    ("step", "/step"),
    ("tray", "/tray/shake%20freezer"),
    ("machine", "/machine/shake%20freezer"),
    ("readings", "/readings"),
    ("file", "/file/shake%20freezer"),
    ("record", "/record"),
    ("trust", "/trust"),
];

/// What axe finds wrong with the page: WCAG 2.2 A and AA, and common good practice.
fn violations(tablet: &Session, axe: &str, rules: &str) -> Value {
    tablet.eval(axe);
    tablet.eval(&format!(
        "return axe.run(document, {rules}).then(found => found.violations.map(one => \
         one.id + ': ' + one.nodes.map(node => node.target + ' ' + node.failureSummary).slice(0, 3).join(' | ')))"
    ))
}

const AA: &str = "{ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }";
/// Contrast of 7 : 1, for the page that is read from far away.
const AAA: &str = "{ runOnly: { type: 'rule', values: ['color-contrast-enhanced'] } }";

/// The pages of a morning.
const MORNING: [(&str, &str); 7] = [
    ("release", "/release"),
    ("lots", "/lots"),
    ("trace", "/lots/lot/M-7"),
    ("glass", "/lots/glass?place=shake%20freezer/reservoir&at=2026-06-01T20:30"),
    ("parts", "/parts/shake%20freezer"),
    ("practice", "/practice"),
    ("people", "/people"),
];

/// Every page of a night, in the middle of it, in every size.
#[test]
fn every_page_in_every_size() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    crew::work(&kitchen.both(), 8);
    in_every_size(&kitchen, &PAGES);
}

/// Every page of a morning in every size, with something on each: lots of which one has to go and one was called back,
/// parts that were looked at, practice that was not passed, somebody who is taught.
#[test]
fn every_page_of_a_morning_in_every_size() {
    let Some(kitchen) = Kitchen::open() else { return };
    let vessel = "shake freezer/reservoir";
    let lot = |lot: &str| json!({ "what": "lot-received", "lot": lot, "product": "mix", "litres": 12.0, "origin": "delivered", "use_by": "2020-01-01" });
    let session = json!({ "who": "Marisol", "procedure": "closing", "moves": 30, "slips": { "Stop the beater": 4 }, "passed": false });
    let mut tablet = Tablet::of("Marisol");
    let now = tells::now_ms();
    for (machine, fact) in [
        (None, lot("M-7")),
        (None, lot("A lot with a name that is as long as a label on a pack may well be")),
        (None, json!({ "what": "blended", "from": "M-7", "into": vessel, "litres": 9.0 })),
        (None, json!({ "what": "blended", "from": "nobody knows", "into": vessel, "litres": 1.0 })),
        (None, json!({ "what": "served", "from": vessel, "litres": 2.0 })),
        (None, json!({ "what": "recalled", "lot": "M-7", "because": "the maker called" })),
        (None, json!({ "what": "trained", "who": "Teo", "skill": "rerun", "how": "under-watch" })),
        (
            Some("shake freezer"),
            json!({ "what": "part-inspected", "part": { "part": "lid gasket" }, "good": false, "lubricated": false }),
        ),
        (Some("shake freezer"), json!({ "what": "fault-opened", "text": "the lid is loose" })),
        (Some("shake freezer"), json!({ "what": "practised", "session": session })),
    ] {
        tablet.at(now, None, machine, fact);
    }
    tablet.send(&kitchen.site.lead());
    in_every_size(&kitchen, &MORNING);
}

/// Pages in three sizes, in both languages, light and dark, and from right to left: pictures are kept, nothing runs out
/// of the page, and axe finds nothing.
pub fn in_every_size(kitchen: &Kitchen, pages: &[(&str, &str)]) {
    let axe = npm("axe-core/axe.min.js");
    if axe.is_none() {
        println!(
            "SKIPPED in part: there is no axe-core in the cache folder; `./check` installs it where there is npm"
        );
    }
    let tablet = &kitchen.marisol;
    let mut wrong = Vec::new();
    let mut look = |name: &str, path: &str, size: Size| {
        tablet.resize(size);
        tablet.go(&format!("{}{path}", kitchen.site.address()));
        tablet.until("a heading", "return document.querySelector('h1')");
        if name.starts_with("file") {
            tablet.until("a verdict", "return document.getElementById('verdict').dataset.good");
        }
        tablet.picture(&pictures().join(format!("{name}-{}.png", size.0)));
        // What is folded away is judged as well.
        tablet.eval("for (const one of document.querySelectorAll('main details')) one.open = true");
        let over =
            tablet.eval("return document.documentElement.scrollWidth - document.documentElement.clientWidth");
        if over != json!(0) {
            wrong.push(format!("{name} on a {}: {over} px too wide", size.0));
        }
        if let Some(axe) = &axe {
            let mut found = violations(tablet, axe, AA);
            if name.starts_with("step") && found == json!([]) {
                found = violations(tablet, axe, AAA);
            }
            if found != json!([]) {
                wrong.push(format!("{name} on a {}: {found:#}", size.0));
            }
        }
    };
    for size in Size::ALL {
        for (name, path) in pages {
            look(name, path, size);
        }
    }
    for (name, path) in pages {
        tablet.cdp(
            "Emulation.setEmulatedMedia",
            &json!({ "features": [{ "name": "prefers-color-scheme", "value": "dark" }] }),
        );
        look(&format!("{name}-dark"), path, Size::TABLET);
    }
    tablet.cdp("Emulation.setEmulatedMedia", &json!({ "features": [] }));
    for (name, path) in pages {
        let mark = if path.contains('?') { '&' } else { '?' };
        look(&format!("{name}-es"), &format!("{path}{mark}language=es"), Size::TABLET);
    }
    // No language of ours is written from right to left yet; the layout must be ready for one.
    for (name, path) in pages {
        tablet.resize(Size::PHONE);
        tablet.go(&format!("{}{path}", kitchen.site.address()));
        tablet.until("a heading", "return document.querySelector('h1')");
        tablet.eval("document.documentElement.dir = 'rtl'");
        tablet.picture(&pictures().join(format!("{name}-rtl.png")));
        let over = tablet.eval(
            "return [...document.querySelectorAll('main *')].filter(one => { const box = one.getBoundingClientRect(); \
             return box.width > 0 && !one.closest('.wide, .ways, pre') && (box.left < -1 || box.right > innerWidth + 1); }).length",
        );
        if over != json!(0) {
            wrong.push(format!("{name} from right to left: {over} things outside"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// axe does find something where there is something to be found.
#[test]
fn the_judge_is_awake() {
    let Some(driver) = ft_browser::Driver::start() else { return };
    let Some(axe) = npm("axe-core/axe.min.js") else { return println!("SKIPPED: there is no axe-core") };
    let tablet = driver.session("judge", Size::TABLET);
    tablet.go("data:text/html,<title>t</title><p style='color:%23999'>pale</p><img src='x'>");
    let found = violations(&tablet, &axe, AA).to_string();
    assert!(found.contains("color-contrast") && found.contains("image-alt"), "{found}");
}

/// Every page and every sentence in the other language, at once and from then on.
#[test]
fn a_change_of_language() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let tablet = &kitchen.teo;
    tablet.touch(".me summary");
    tablet.touch(".languages a[lang=es]");
    tablet.until("Spanish", "return document.documentElement.lang === 'es'");
    crew::asks(tablet);
    tablet.until_text("Hecho");
    // Which step is Teo's first is for the plan to say.
    let heading = tablet.text("h1");
    let step = heading.split(" (").next().unwrap_or_default();
    let machine = include_str!("../../../../demo/shake.machine.kdl");
    assert!(machine.contains(&format!("label es \"{step}\"")), "the machine's words as well: {heading}");
    crew::does(tablet, &[]);
    tablet.go(&format!("{}/tray/shake%20freezer", kitchen.teos_wire.address()));
    assert_eq!(tablet.eval("return document.documentElement.lang"), json!("es"), "it stays");
    tablet.until_text("Huecos llenos");
}

/// Keys, as `WebDriver` names them.
const TAB: char = '\u{e004}';
const ENTER: char = '\u{e007}';
const ESCAPE: char = '\u{e00c}';

/// Goes from control to control until the focus is on what a selector names.
fn tab_to(tablet: &Session, selector: &str) {
    for _ in 0..80 {
        let is_there =
            tablet.eval(&format!("return document.activeElement?.matches({}) ?? false", json!(selector)));
        if is_there == json!(true) {
            let ring = tablet.eval("return getComputedStyle(document.activeElement).outlineStyle");
            assert_ne!(ring, json!("none"), "{selector} shows that it has the focus");
            return;
        }
        tablet.press(&TAB.to_string());
    }
    let at = tablet.eval("return document.activeElement?.outerHTML.slice(0, 300) + ' dialogs ' + document.querySelectorAll('dialog[open]').length");
    panic!("{}: {selector} cannot be reached by keyboard; the focus is on {at}", tablet.name);
}

/// Signed out, in again, three steps, a look at the reasons, and a slot of the tray, without a pointer.
#[test]
fn by_keyboard_alone() {
    let Some(kitchen) = Kitchen::open() else { return };
    kitchen.begin();
    let tablet = &kitchen.marisol;
    tablet.go(&format!("{}/step", kitchen.site.address()));
    for _ in 0..3 {
        let before = crew::asks(tablet);
        tab_to(tablet, "#done");
        tablet.press(&ENTER.to_string());
        tablet.until(
            "another step",
            &format!(
                "return document.querySelector('section.now')?.dataset.event !== {}",
                json!(event_of(&before))
            ),
        );
    }
    tab_to(tablet, "#why");
    tablet.press(&ENTER.to_string());
    tablet.until("a reason", "return document.querySelector('dialog[open] h2')");
    tablet.press(&ESCAPE.to_string());
    tablet.until("no dialog", "return !document.querySelector('dialog[open]')");
    tablet.go(&format!("{}/tray/shake%20freezer", kitchen.site.address()));
    tab_to(tablet, "#slots button[data-state=empty]");
    tablet.press(&ENTER.to_string());
    tablet.until("a choice", "return document.querySelector('dialog[open]')");
    tab_to(tablet, "#lies-here");
    tablet.press(&ENTER.to_string());
    tablet.until("a full slot", "return document.querySelector('#slots button[data-state=full]')");
    crew::until_sent(tablet);
}

fn event_of(asks: &crew::Asks) -> String {
    match asks {
        crew::Asks::Act(of) | crew::Asks::Look(of) | crew::Asks::Waits(of) | crew::Asks::Time(of, _) => {
            of.clone()
        }
        crew::Asks::Nothing => String::new(),
    }
}

/// The first page on a slow line: under 100 kB, and to be seen within a second.
///
/// The line is 1.6 Mbit/s with 150 ms for each answer, which is common for "slow mobile" tests. Source: none, our choice.
#[test]
fn the_first_page_is_light() {
    let Some(driver) = ft_browser::Driver::start() else { return };
    let site = ft_browser::Site::start(&crate::program());
    let tablet = driver.session("first", Size::PHONE);
    tablet.cdp("Network.enable", &json!({}));
    tablet.cdp(
        "Network.emulateNetworkConditions",
        &json!({ "offline": false, "latency": 150, "downloadThroughput": 200_000, "uploadThroughput": 90_000 }),
    );
    tablet.go(&site.address());
    let seen = tablet.until(
        "a first picture",
        "const paint = performance.getEntriesByName('first-contentful-paint')[0]; if (!paint) return null;
         const all = [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')];
         return { ms: Math.round(paint.startTime), bytes: all.reduce((sum, one) => sum + one.transferSize, 0), files: all.length };",
    );
    println!("first page: {seen}");
    assert!(seen["bytes"].as_u64() < Some(100_000), "{seen}");
    assert!(seen["ms"].as_u64() < Some(1000), "{seen}");
}
