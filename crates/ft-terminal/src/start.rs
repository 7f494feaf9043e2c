//! Who sits here, and which night: the sign-in, and the night that goes on or begins.

use ft_pages::Language;
use ft_record::Fact;
use ft_server::Tried;

use crate::console::{Kind, Style};
use crate::talk::{Stop, Talk, lines};
use crate::words::{Words, clock, span};

/// Wrong PINs after which the program ends; the limits of the site count on.
const TRIES: usize = 5;

/// Signs in, and opens the night or goes on with it; whether there is one now.
///
/// # Errors
/// [`Stop`].
pub fn start(talk: &mut Talk<'_>, procedure: &str, language: Option<Language>) -> Result<bool, Stop> {
    talk.note(talk.words.say("welcome"));
    talk.note(talk.words.say("caution.general"));
    if !signs_in(talk)? {
        return Ok(false);
    }
    if language.is_none() {
        talk.words = Words(Language::of(talk.seat.language()).unwrap_or(Language::English));
    }
    opens(talk, procedure)
}

fn signs_in(talk: &mut Talk<'_>) -> Result<bool, Stop> {
    let known = talk.seat.people();
    let is_first = known.is_empty();
    let names = if is_first {
        talk.note(talk.words.say("name.first"));
        let current = talk.seat.current();
        current.run.kitchen.people.iter().map(|person| person.named.name.clone()).collect()
    } else {
        known
    };
    for _ in 0..TRIES {
        let name = name(talk, &names)?;
        let is_in = if is_first { sets_up(talk, &name)? } else { tries(talk, &name)? };
        match is_in {
            Some(true) => return Ok(true),
            Some(false) => return Ok(false),
            None => {}
        }
    }
    Ok(false)
}

fn name(talk: &mut Talk<'_>, names: &[String]) -> Result<String, Stop> {
    loop {
        let mut page = Vec::new();
        for (index, name) in names.iter().enumerate() {
            page.extend(lines(Style::Plain, "  ", &format!("{} {name}", index + 1)));
        }
        talk.page(page)?;
        let typed = talk.ask(talk.words.say("name.ask"), Kind::Line)?;
        let numbered = typed.parse::<usize>().ok().and_then(|number| names.get(number.checked_sub(1)?));
        match numbered {
            Some(name) => return Ok(name.clone()),
            None if typed.is_empty() => talk.note(talk.words.say("name.own")),
            None => {
                let lower = typed.to_lowercase();
                let same = names.iter().find(|name| name.to_lowercase() == lower);
                return Ok(same.cloned().unwrap_or(typed));
            }
        }
    }
}

/// Makes the first person, with a PIN that is typed twice; `None`: it has to be tried again.
fn sets_up(talk: &mut Talk<'_>, name: &str) -> Result<Option<bool>, Stop> {
    let pin = talk.ask(&talk.words.fill("pin.first", &[("who", name)]), Kind::Secret)?;
    let again = talk.ask(talk.words.say("again"), Kind::Secret)?;
    if pin != again {
        talk.note(talk.words.say("pin.differ"));
        return Ok(None);
    }
    if let Err(problem) = talk.seat.set_up(name, &pin, talk.words.code()) {
        talk.note_problem(&problem);
        return Ok(None);
    }
    Ok(signed_in(talk, name, &pin))
}

fn tries(talk: &mut Talk<'_>, name: &str) -> Result<Option<bool>, Stop> {
    let pin = talk.ask(talk.words.say("pin.ask"), Kind::Secret)?;
    Ok(signed_in(talk, name, &pin))
}

/// Signs in; `Some(false)`: trying again is of no use.
fn signed_in(talk: &mut Talk<'_>, name: &str, pin: &str) -> Option<bool> {
    match talk.seat.sign_in(name, pin) {
        Ok(Tried::Right) => Some(true),
        Ok(no) => {
            let text = not_in(talk.words, no, name);
            talk.note(&text);
            (no == Tried::Locked).then_some(false)
        }
        Err(problem) => {
            talk.note_problem(&problem);
            Some(false)
        }
    }
}

/// Why a PIN did not do.
pub fn not_in(words: Words, tried: Tried, who: &str) -> String {
    match tried {
        Tried::Wait(ms) => words.fill("pin.wait", &[("time", &span(ms))]),
        Tried::Locked => words.fill("pin.locked", &[("who", who)]),
        Tried::Right | Tried::Wrong => words.say("pin.wrong").to_owned(),
    }
}

/// Goes on with the open night, or begins one; whether there is one now.
fn opens(talk: &mut Talk<'_>, procedure: &str) -> Result<bool, Stop> {
    let (open, begins_ms, is_here) = {
        let current = talk.seat.current();
        let is_open = current.id.is_some() && !current.is_signed();
        (is_open, current.begins_ms, current.is_here(talk.seat.name()))
    };
    if open {
        let text = talk.words.fill("go-on", &[("time", &clock(begins_ms))]);
        talk.note(&text);
        if !is_here {
            let who = talk.seat.name().to_owned();
            talk.tell(None, Fact::PersonJoined { who });
        }
        return Ok(true);
    }
    if !is_planned(talk)? {
        return Ok(false);
    }
    let who = talk.seat.name().to_owned();
    match talk.seat.begin(procedure, &[who]) {
        Ok(()) => Ok(true),
        Err(problem) => {
            talk.note_problem(&problem);
            Ok(false)
        }
    }
}

/// Shows the plan for whoever sits here, and asks whether to begin.
fn is_planned(talk: &mut Talk<'_>) -> Result<bool, Stop> {
    let words = talk.words;
    let who = talk.seat.name().to_owned();
    let people: Vec<String> = {
        let current = talk.seat.current();
        current.run.kitchen.people.iter().map(|person| person.named.name.clone()).collect()
    };
    if !people.contains(&who) {
        let text = words.fill("begin.unknown", &[("who", &who), ("people", &words.list(&people))]);
        talk.note(&text);
        return Ok(false);
    }
    // Making a plan takes a second or two, and nobody should wonder what is going on.
    talk.note(words.say("begin.planning"));
    talk.page(Vec::new())?;
    let night = match talk.seat.preview(&[who]) {
        Ok(night) => night,
        Err(problem) => {
            talk.note_problem(&problem);
            return Ok(false);
        }
    };
    if !night.plan.is_plan() {
        talk.note(words.say("begin.none"));
        let mut why = night.run.view.conflict.clone();
        let give_up = night.run.view.give_up.iter().flat_map(|conflict| &conflict.wishes);
        why.extend(give_up.map(|wish| wish.wish.clone()));
        talk.note_list(&why);
        talk.note(words.say("begin.none-hint"));
        return Ok(false);
    }
    let now_ms = talk.console.now_ms();
    let out_s = i64::from(night.plan.score.ends_at_s);
    let at = |minute: i64| format!("{:02}:{:02}", minute / 60 % 24, minute % 60);
    let begins_min = i64::from(night.run.view.begins_min);
    let plan = [("begins", at(begins_min)), ("out", at(begins_min + out_s / 60))];
    let text = words.fill("begin.plan", &plan.each_ref().map(|(key, text)| (*key, text.as_str())));
    talk.note(&text);
    if let Some(by_s) = night.run.problem.deadline_s {
        let text = words.fill("begin.wanted", &[("time", &at(begins_min + i64::from(by_s) / 60))]);
        talk.note(&text);
    }
    let text = words.fill("begin.plan-now", &[("out", &clock(now_ms + 1000 * out_s))]);
    talk.note(&text);
    loop {
        talk.page(Vec::new())?;
        let typed = talk.ask(words.say("begin.ask"), Kind::Line)?;
        match Words::is_yes(&typed) {
            Some(true) => return Ok(true),
            Some(false) => {
                talk.note(words.say("begin.not-begun"));
                return Err(Stop::End);
            }
            None => {}
        }
    }
}
