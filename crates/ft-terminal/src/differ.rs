//! It happened differently: recorded, judged at once by the proof, and the night goes on.

use std::collections::BTreeMap;

use ft_form::EventId;
use ft_prove::Limits;
use ft_record::Fact;

use crate::console::Kind;
use crate::night::machine;
use crate::step::Asked;
use crate::talk::{Stop, Talk};

/// States that are looked at to answer somebody who waits; as many as a tablet's question gets.
const STATES: u64 = 300_000;

/// Something that was found otherwise than it should be.
enum What {
    Event(EventId),
    Found(usize, i32),
}

/// Asks what happened and why, records it, and tells what the proof says of all that is left.
///
/// # Errors
/// [`Stop`].
pub fn differently(talk: &mut Talk<'_>, asked: Option<&Asked>) -> Result<(), Stop> {
    let words = talk.words;
    let kinds = [words.say("step.differ-done").to_owned(), words.say("step.differ-state").to_owned()];
    let Some(kind) = talk.choose(words.say("step.differ-title"), &kinds)? else { return Ok(()) };
    let Some(on) = machine(talk)? else { return Ok(()) };
    let what = if kind == 0 { event(talk, &on, asked)? } else { state(talk, &on)? };
    let Some(what) = what else { return Ok(()) };
    let Some(because) = because(talk)? else { return Ok(()) };
    let before = dangers(talk, &on, None);
    let fact = {
        let current = talk.seat.current();
        let Some(live) = current.run.machine(&on) else { return Ok(()) };
        match &what {
            What::Event(event) => Fact::Differed {
                event: Some(live.form.events[*event].name.clone()),
                found: BTreeMap::new(),
                because,
            },
            What::Found(var, value) => Fact::Differed {
                event: None,
                found: BTreeMap::from([(live.form.vars[*var].name.clone(), *value)]),
                because,
            },
        }
    };
    let shown = dangers(talk, &on, Some(&what));
    if !talk.tell(Some(&on), fact) {
        return Ok(());
    }
    let fresh: Vec<String> = shown.into_iter().filter(|one| !before.contains(one)).collect();
    let text = if fresh.is_empty() {
        words.say("step.differ-fine").to_owned()
    } else {
        words.fill("step.differ-danger", &[("what", &fresh.join(" "))])
    };
    talk.note(&text);
    proved(talk, &on);
    Ok(())
}

/// An event that is done already; the one that is asked for comes first.
fn event(talk: &mut Talk<'_>, on: &str, asked: Option<&Asked>) -> Result<Option<What>, Stop> {
    let words = talk.words;
    let mut events: Vec<(EventId, String)> = Vec::new();
    {
        let current = talk.seat.current();
        let states = current.states();
        let of_machine = current.run.machines.iter().zip(&states).find(|(live, _)| live.ready.name == on);
        let Some((live, state)) = of_machine else { return Ok(None) };
        for (event, of) in live.form.events.iter().enumerate() {
            if !state.done[event] && !of.nature {
                let end = of.kind == ft_form::EventKind::End;
                let end = if end { format!(" — {}", words.say("step.finish")) } else { String::new() };
                events.push((event, live.title(event, words.code()) + &end));
            }
        }
    }
    let first = asked.filter(|asked| asked.machine == on).map(|asked| asked.event);
    events.sort_by_key(|(event, _)| (Some(*event) != first, *event));
    let titles: Vec<String> = events.iter().map(|(_, title)| title.clone()).collect();
    let chosen = talk.choose(words.say("step.differ-done"), &titles)?;
    Ok(chosen.map(|chosen| What::Event(events[chosen].0)))
}

/// Something that is not as it should be, and how it is.
fn state(talk: &mut Talk<'_>, on: &str) -> Result<Option<What>, Stop> {
    let words = talk.words;
    let vars: Vec<(usize, String)> = {
        let current = talk.seat.current();
        let Some(live) = current.run.machine(on) else { return Ok(None) };
        let is_thing = |of: &ft_form::Var| of.kind != ft_form::VarKind::Res;
        let all = live.form.vars.iter().enumerate().filter(|(_, of)| is_thing(of));
        let name =
            |of: &ft_form::Var| ft_app::tonight::pick(&of.words, words.code()).unwrap_or(&of.name).to_owned();
        all.map(|(var, of)| (var, name(of))).collect()
    };
    let titles: Vec<String> = vars.iter().map(|(_, title)| title.clone()).collect();
    let Some(chosen) = talk.choose(words.say("step.differ-what"), &titles)? else { return Ok(None) };
    let var = vars[chosen].0;
    let (low, values) = {
        let current = talk.seat.current();
        let Some(live) = current.run.machine(on) else { return Ok(None) };
        let of = &live.form.vars[var];
        (
            of.lo,
            (of.lo..=of.hi).map(|value| live.form.value_text(var, value, words.code())).collect::<Vec<_>>(),
        )
    };
    let title = format!("{}: {} …", titles[chosen], words.say("step.differ-is"));
    let chosen = talk.choose(&title, &values)?;
    Ok(chosen.and_then(|chosen| i32::try_from(chosen).ok()).map(|chosen| What::Found(var, low + chosen)))
}

/// Why: one of the common reasons, or own words.
fn because(talk: &mut Talk<'_>) -> Result<Option<String>, Stop> {
    let words = talk.words;
    let keys = [
        "step.differ-forgotten",
        "step.differ-other-order",
        "step.differ-found-so",
        "step.differ-broken",
        "differ.own",
    ];
    let reasons = keys.map(|key| words.say(key).to_owned());
    let Some(chosen) = talk.choose(words.say("step.differ-because"), &reasons)? else { return Ok(None) };
    if chosen + 1 < reasons.len() {
        return Ok(Some(reasons[chosen].clone()));
    }
    let typed = talk.ask(&format!("{}:", words.say("step.differ-because")), Kind::Line)?;
    Ok((!typed.is_empty()).then(|| typed.chars().take(200).collect()))
}

/// Hazards that the state of a machine shows by itself, or would after something; in words.
fn dangers(talk: &Talk<'_>, on: &str, what: Option<&What>) -> Vec<String> {
    let language = ft_prove::tell::Language::of(talk.words.code());
    let current = talk.seat.current();
    let states = current.states();
    let of_machine = current.run.machines.iter().zip(&states).find(|(live, _)| live.ready.name == on);
    let Some((live, state)) = of_machine else { return Vec::new() };
    let form = &live.form;
    let shown: Vec<usize> = match what {
        Some(What::Event(event)) => ft_prove::live::what_if(form, state, *event).hazards,
        found => {
            let mut state = state.clone();
            if let Some(What::Found(var, value)) = found {
                state.vals[*var] = *value;
            }
            let all = form.hazards.iter().enumerate();
            all.filter(|(_, of)| of.on.is_none() && state.holds(form, &of.when))
                .map(|(index, _)| index)
                .collect()
        }
    };
    shown.into_iter().map(|index| ft_prove::tell::hazard(form, index, language).to_owned()).collect()
}

/// What the proof says of all that is left on a machine.
fn proved(talk: &mut Talk<'_>, on: &str) {
    let words = talk.words;
    let rest = {
        let current = talk.seat.current();
        let states = current.states();
        let of_machine = current.run.machines.iter().zip(&states).find(|(live, _)| live.ready.name == on);
        let Some((live, state)) = of_machine else { return };
        let limits = Limits { states: STATES, ..Limits::default() };
        ft_run::rest(live, state, &limits, words.code())
    };
    let (key, told) = match (rest.safe, rest.new_order.is_empty()) {
        (true, true) => ("step.differ-proved", Vec::new()),
        (true, false) => ("step.differ-new-order", rest.new_order),
        (false, _) => ("step.differ-unsafe", rest.story),
    };
    talk.note(words.say(key));
    talk.note_list(&told);
}
