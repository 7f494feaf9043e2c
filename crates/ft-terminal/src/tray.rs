//! The tray slot by slot: what lies there, what is not to be found, and where to look for it.

use ft_app::tonight::pick;
use ft_record::{Fact, Journey, PartRef};

use crate::console::{Kind, Style};
use crate::night::machine;
use crate::step::Asked;
use crate::talk::{Stop, Talk, lines};
use crate::words::Words;

/// Where things turn up. Source: none, common practice.
const PLACES: [&str; 5] =
    ["tray.place-sink", "tray.place-drain", "tray.place-machine", "tray.place-floor", "tray.place-cloth"];

/// How it stands with a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Empty,
    Full,
    Missing,
}

/// A slot of a tray.
#[derive(Debug, Clone)]
struct Slot {
    name: String,
    label: String,
    part: PartRef,
    state: State,
}

/// Asks slot by slot, from the first that is not full, until somebody goes back.
///
/// # Errors
/// [`Stop`].
pub fn tray(talk: &mut Talk<'_>, asked: Option<&Asked>) -> Result<(), Stop> {
    let own = asked.map(|asked| asked.machine.clone());
    let on = match own {
        Some(on) => on,
        None => match machine(talk)? {
            Some(on) => on,
            None => return Ok(()),
        },
    };
    let mut at = 0;
    loop {
        let slots = slots(talk, &on);
        let full = slots.iter().filter(|slot| slot.state == State::Full).count();
        let count = format!("{}: {full} / {}", talk.words.say("tray.full"), slots.len());
        let left = (at..slots.len()).find(|slot| slots[*slot].state != State::Full);
        let Some(next) = left else {
            let key = if full == slots.len() { "tray.full-all" } else { "tray.still" };
            let text = format!("{count}. {}", talk.words.say(key));
            talk.note(&text);
            search(talk, &on);
            return Ok(());
        };
        let slot = slots[next].clone();
        talk.note(&count);
        let goes_on = match slot.state {
            State::Missing => gone(talk, &on, &slot)?,
            State::Empty | State::Full => lies(talk, &on, &slot)?,
        };
        if !goes_on {
            return Ok(());
        }
        at = next + 1;
    }
}

/// The slots of a machine's tray, in their order.
fn slots(talk: &Talk<'_>, on: &str) -> Vec<Slot> {
    let current = talk.seat.current();
    let Some(live) = current.run.machine(on) else { return Vec::new() };
    let mut slots: Vec<Slot> = Vec::new();
    for of in live.followed() {
        let Some(slot) = of.slot else { continue };
        let told = current.part(on, &of.part);
        let state = match told {
            Some(now) if now.missing => State::Missing,
            Some(now) if now.slot.is_some() || now.journey == Some(Journey::LaidOut) => State::Full,
            Some(_) | None => State::Empty,
        };
        let label = pick(&of.labels, talk.words.code()).unwrap_or(&of.part.part).to_owned();
        slots.push(Slot { name: slot, label, part: of.part, state });
    }
    slots.sort_by_key(|slot| ft_run::slot_place(&slot.name));
    slots
}

fn title(words: Words, slot: &Slot) -> String {
    words.fill("tray.slot", &[("slot", &slot.name), ("what", &slot.label)])
}

/// Whether a part lies in its slot; whether to go on with the next.
fn lies(talk: &mut Talk<'_>, on: &str, slot: &Slot) -> Result<bool, Stop> {
    let words = talk.words;
    loop {
        talk.page(lines(Style::Title, "", &title(words, slot)))?;
        let typed = talk.ask(words.say("tray.ask"), Kind::Line)?;
        if typed.is_empty() {
            return Ok(false);
        }
        match Words::is_yes(&typed) {
            Some(true) => {
                let (part, slot) = (slot.part.clone(), slot.name.clone());
                talk.tell(Some(on), Fact::PartSeen { part, slot });
                return Ok(true);
            }
            Some(false) => {
                let places = PLACES.map(|place| words.say(place).to_owned());
                let last_seen =
                    talk.choose(words.say("tray.last-seen"), &places)?.map(|at| places[at].clone());
                talk.tell(Some(on), Fact::PartMissing { part: slot.part.clone(), last_seen });
                search(talk, on);
                return Ok(true);
            }
            None => {}
        }
    }
}

/// What became of a part that was missing; whether to go on with the next.
fn gone(talk: &mut Talk<'_>, on: &str, slot: &Slot) -> Result<bool, Stop> {
    let words = talk.words;
    let options = ["tray.found", "tray.spare", "tray.still"].map(|key| words.say(key).to_owned());
    let title = words.fill("tray.missing-ask", &[("what", &format!("{} → {}", slot.label, slot.name))]);
    let Some(chosen) = talk.choose(&title, &options)? else { return Ok(false) };
    let part = slot.part.clone();
    let is_back = match chosen {
        0 => {
            let places = PLACES.map(|place| words.say(place).to_owned());
            let Some(at) = talk.choose(words.say("tray.where"), &places)? else { return Ok(true) };
            talk.tell(Some(on), Fact::PartFound { part: part.clone(), place: places[at].clone() })
        }
        1 => {
            let fact = Fact::PartReplaced { part: part.clone(), failed: false, supplier_lot: None };
            talk.tell(Some(on), fact)
        }
        _ => false,
    };
    if is_back {
        talk.tell(Some(on), Fact::PartSeen { part, slot: slot.name.clone() });
    }
    Ok(true)
}

/// The search list: each missing part, where it was seen last, and whom to ask.
fn search(talk: &mut Talk<'_>, on: &str) {
    let words = talk.words;
    let list = talk.seat.search(on, words.code());
    if list.is_empty() {
        return;
    }
    talk.note(words.say("tray.search"));
    for missing in list {
        let slot = missing.slot.unwrap_or_default();
        talk.note(&format!("{} → {slot}", missing.label));
        talk.note_list(&missing.look);
    }
}
