//! What people do at a tablet, as a test does it.

use ft_browser::Session;
use serde_json::{Value, json};

/// Lets a test put the tablets' clocks forward, so that nobody has to wait for the sanitiser.
pub fn with_clock(tablet: &Session) {
    let script = "(() => { const real = Date.now.bind(Date); \
        Date.now = () => real() + Number(localStorage.getItem('test-ahead') ?? 0); })()";
    tablet.cdp("Page.addScriptToEvaluateOnNewDocument", &json!({ "source": script }));
}

/// So many seconds pass for these tablets.
pub fn pass(tablets: &[&Session], seconds: i64) {
    for tablet in tablets {
        tablet.eval(&format!(
            "localStorage.setItem('test-ahead', Number(localStorage.getItem('test-ahead') ?? 0) + {})",
            1000 * seconds
        ));
    }
}

/// What a tablet asks its person for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asks {
    /// To do this and say so.
    Act(String),
    /// To look, and say what was found.
    Look(String),
    /// To wait so many seconds.
    Time(String, i64),
    /// To wait for somebody.
    Waits(String),
    /// Nothing more.
    Nothing,
}

/// What the tablet asks for now.
pub fn asks(tablet: &Session) -> Asks {
    let seen = tablet.until(
        "a step",
        "const now = document.querySelector('section.now'); if (!now || now.querySelector('[data-soon]')) return null;
         const of = now.dataset.event ?? '';
         const left = now.querySelector('#left')?.dataset.ends;
         const seconds = left ? Math.ceil((Number(left) - Date.now()) / 1000) : 0;
         const kind = !of ? 'nothing' : now.querySelector('.look') ? 'look' : now.querySelector('.waits') ? 'waits' : seconds > 0 ? 'time' : 'act';
         return { of, kind, seconds };",
    );
    let of = seen["of"].as_str().unwrap_or_default().to_owned();
    match seen["kind"].as_str() {
        Some("look") => Asks::Look(of),
        Some("waits") => Asks::Waits(of),
        Some("time") => Asks::Time(of, seen["seconds"].as_i64().unwrap_or_default()),
        Some("act") => Asks::Act(of),
        _ => Asks::Nothing,
    }
}

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Did {
    /// Something was touched, and the tablet asks for something else.
    Touch,
    /// Time went by, or the tablet asked for something else before it could be touched.
    Look,
    /// There is nothing to do.
    Nothing,
}

/// Does what the tablet asks for, and waits until it asks for something else.
pub fn does(tablet: &Session, crew: &[&Session]) -> Did {
    // Somebody else was faster, and the tablet says why it is not possible any more.
    if tablet.count("dialog.stop[open]") > 0 {
        tablet.touch("dialog.stop[open] button.act");
        return Did::Look;
    }
    let now = asks(tablet);
    match &now {
        // The plan may have been made anew just now, and the tablet ask for something else.
        Asks::Act(_) if !tablet.try_touch("#done") => return Did::Look,
        Asks::Look(_) if !tablet.try_touch(".look button") => return Did::Look,
        Asks::Act(_) | Asks::Look(_) => {}
        Asks::Time(_, seconds) => {
            pass(crew, seconds + 1);
            return Did::Look;
        }
        Asks::Waits(_) | Asks::Nothing => return Did::Nothing,
    }
    let (Asks::Act(of) | Asks::Look(of)) = now else { return Did::Look };
    let is_done = tablet.until(
        &format!("something after `{of}`"),
        &format!(
            "const is = document.querySelector('section.now')?.dataset.event !== {};
             return is || document.querySelector('dialog.stop[open]') ? {{ is }} : null;",
            json!(of)
        ),
    );
    if is_done["is"] == json!(true) { Did::Touch } else { Did::Look }
}

/// As often may everybody only look, one after the other: a night has fewer waits than this.
const MOST_LOOKS: usize = 400;

/// Everybody works until there is nothing more to do, or until a number of touches; gives how many there were.
pub fn work(crew: &[&Session], most: usize) -> usize {
    let mut touches = 0;
    let mut looks = 0;
    while touches < most {
        let did: Vec<Did> = crew.iter().map(|tablet| does(tablet, crew)).collect();
        let touched = did.iter().filter(|did| **did == Did::Touch).count();
        touches += touched;
        looks = if touched > 0 { 0 } else { looks + 1 };
        let asked = || crew.iter().map(|tablet| asks(tablet)).collect::<Vec<_>>();
        assert!(looks < MOST_LOOKS, "nothing can be touched: {:?}", asked());
        if did.iter().all(|did| *did == Did::Nothing) {
            if crew.iter().all(|tablet| asks(tablet) == Asks::Nothing) {
                break;
            }
            // What the other one did may still be on its way; what is never on its way is a test that fails.
            let before: Vec<Asks> = crew.iter().map(|tablet| asks(tablet)).collect();
            if before.iter().any(|asks| !matches!(asks, Asks::Waits(_) | Asks::Nothing)) {
                continue;
            }
            let is_moved = (0..500).any(|_| {
                std::thread::sleep(std::time::Duration::from_millis(40));
                crew.iter().zip(&before).any(|(tablet, before)| asks(tablet) != *before)
            });
            assert!(is_moved, "everybody waits for somebody: {before:?}");
        }
    }
    touches
}

/// One person works for as long as there is something to do without the others.
pub fn goes_on(tablet: &Session, crew: &[&Session]) {
    let is_at_end = (0..MOST_LOOKS).any(|_| does(tablet, crew) == Did::Nothing);
    assert!(is_at_end, "{}: no end, {:?}", tablet.name, asks(tablet));
}

/// Waits until nothing is left to be sent.
pub fn until_sent(tablet: &Session) {
    tablet.until("all is sent", "return document.getElementById('sent').dataset.state === 'sent'");
}

/// Touches every slot of a tray that is empty.
pub fn fill_tray(tablet: &Session, most: usize) -> usize {
    let mut touched = 0;
    while touched < most {
        if tablet.count("#slots button[data-state=empty]") == 0 {
            break;
        }
        let slot: Value =
            tablet.eval("return document.querySelector('#slots button[data-state=empty]').dataset.slot");
        tablet.touch("#slots button[data-state=empty]");
        tablet.touch("#lies-here");
        tablet.until(
            &format!("slot {slot} full"),
            &format!("return document.querySelector('#slots [data-slot={slot}]').dataset.state === 'full'"),
        );
        touched += 1;
    }
    touched
}

/// The PIN of everybody in these tests.
pub const PIN: &str = "271828";

/// Signs somebody in at their tablet.
pub fn sign_in(tablet: &Session, address: &str, name: &str) {
    tablet.go(&format!("{address}/sign-in"));
    tablet.touch(&format!("input[name=name][value={}]", json!(name)));
    tablet.type_into("input[name=pin]", PIN);
    tablet.touch("#sign-in button[type=submit]");
    tablet.until("tonight", "return location.pathname !== '/sign-in'");
}

/// Waits until the record holds a fact of a kind that a page without the mark of what is sent tells.
pub fn until_told(site: &ft_browser::Site, what: &str, count: usize) {
    for _ in 0..250 {
        let told = site.record().iter().filter(|event| event["fact"]["what"] == what).count();
        if told >= count {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(40));
    }
    panic!("the record holds fewer than {count} facts of the kind `{what}`");
}
