//! Whether a run went through its whole procedure, in an order that may be, by people who may, and signed.

use std::collections::{BTreeMap, BTreeSet};

use ft_people::Why;
use ft_record::{Event, Fact, Role, SignedAs, Training};

use super::{Case, Side};
use crate::decision::{Code, Reason};
use crate::say::{in_language, reason, words};

pub(super) fn judge(case: &Case<'_>, side: &Side<'_>, reasons: &mut Vec<Reason>) {
    file(side, reasons);
    skipped(side, reasons);
    order(side, reasons);
    end(case, side, reasons);
    allowed(case, side, reasons);
    signed(case, side, reasons);
}

fn file(side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let (en, es) = side.named();
    let made = side.installed.map(|installed| installed.file_sha256.as_str()).unwrap_or_default();
    let told = || {
        reason(
            Code::FileChanged,
            en,
            words(
                format!("The {en} was made with another machine file than the one at hand."),
                format!("El {es} se hizo con otro archivo de máquina que el presente."),
            ),
            words(
                format!("Judge it with the file of that {en}, or make the {en} anew."),
                format!("Júzguelo con el archivo de ese {es}, o repita el {es}."),
            ),
        )
    };
    if made != side.work.file_sha256 {
        let told = told().by(&side.run.id, side.run.opened_ms.unwrap_or_default());
        reasons.push(told.found(made, side.work.file_sha256.clone()));
    } else if let Some(unknown) = side.played.unknown.first() {
        reasons.push(told().by_event(unknown));
    }
}

/// Steps with an event that never happened and that is not among the conflicts.
fn skipped(side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let (en, es) = side.named();
    let form = &side.work.form;
    let conflicted: BTreeSet<usize> = side.played.conflicts.iter().map(|(id, _)| *id).collect();
    let mut steps: BTreeMap<&str, usize> = BTreeMap::new();
    for (id, event) in form.events.iter().enumerate() {
        if !side.played.state.done[id] && !conflicted.contains(&id) {
            *steps.entry(&event.step).or_default() += 1;
        }
    }
    for (step, count) in steps {
        let whole = form.events.iter().filter(|event| event.step == step).count();
        let (begun_en, begun_es) = if count < whole {
            ("was not finished", "no se terminó")
        } else {
            ("was not done", "no se hizo")
        };
        let told = reason(
            Code::StepSkipped,
            format!("{en}: {step}"),
            words(format!("`{step}` of the {en} {begun_en}."), format!("«{step}» del {es} {begun_es}.")),
            words(format!("Do `{step}` and tell it."), format!("Haga «{step}» y anótelo.")),
        );
        reasons.push(told.found(format!("{} of {whole}", whole - count), format!("{whole} of {whole}")));
    }
}

fn order(side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let (en, es) = side.named();
    for (id, event) in &side.played.conflicts {
        let step = &side.work.form.events[*id].step;
        let told = reason(
            Code::OutOfOrder,
            format!("{en}: {}", side.work.form.events[*id].name),
            words(
                format!("`{step}` of the {en} was told at a moment at which it cannot be done."),
                format!("«{step}» del {es} se anotó en un momento en que no se puede hacer."),
            ),
            words(
                "Tell what it waits for, or tell how it really was.",
                "Anote lo que falta antes, o cómo fue en realidad.",
            ),
        );
        reasons.push(told.by_event(event));
    }
    for (hazard, event) in &side.played.dangerous {
        let hazard = &side.work.form.hazards[*hazard];
        let says =
            |language| in_language(&hazard.words, language, &hazard.id).trim_end_matches('.').to_owned();
        let told = reason(
            Code::Dangerous,
            format!("{en}: {}", event.id),
            words(
                format!("What was told of the {en} was dangerous: {}.", says("en")),
                format!("Lo que se anotó del {es} fue peligroso: {}.", says("es")),
            ),
            words(
                format!("Make the {en} anew, tell how it really was, or let a lead judge it."),
                format!("Repita el {es}, anote cómo fue en realidad, o que lo juzgue un responsable."),
            ),
        );
        reasons.push(told.by_event(event));
    }
    for event in &side.played.differed {
        let Fact::Differed { event: name, because, .. } = &event.fact else { continue };
        let what = name.as_deref().unwrap_or("what was found");
        let because = because.trim_end_matches('.');
        let told = reason(
            Code::Differed,
            format!("{en}: {}", event.id),
            words(
                format!("The {en} went differently, `{what}`: {because}."),
                format!("El {es} fue distinto, «{what}»: {because}."),
            ),
            words(
                format!("Make the {en} anew from there, or let a lead judge it."),
                format!("Repita el {es} desde ahí, o que lo juzgue un responsable."),
            ),
        );
        reasons.push(told.by_event(event));
    }
}

/// Parts of the goal that do not hold; those about parts are told of the parts themselves.
fn end(case: &Case<'_>, side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let (en, es) = side.named();
    let form = &side.work.form;
    if !side.played.state.is_finished() {
        return;
    }
    let is_part = |var: usize| {
        case.expected.parts.iter().any(|part| {
            let of = if side.is_closing { part.closing } else { part.opening };
            of == Some(var)
        })
    };
    for &goal in &form.goal {
        if is_part(goal.var) || side.played.state.holds(form, &[goal]) {
            continue;
        }
        let var = &form.vars[goal.var];
        let value = |language: &str| form.value_text(goal.var, side.played.state.vals[goal.var], language);
        let told = reason(
            Code::EndMissed,
            format!("{en}: {}", var.name),
            words(
                format!("At the end of the {en}, {} is {}.", var.name, value("en")),
                format!("Al final del {es}, {} está en «{}».", var.name, value("es")),
            ),
            words("Put it right and tell it.", "Corríjalo y anótelo."),
        );
        reasons.push(match side.played.changed.get(&goal.var) {
            Some(event) => told.by_event(event),
            None => told.found(value("en"), "the end of the procedure"),
        });
    }
}

/// Steps that need a skill, by people who may not do them alone and were not watched.
fn allowed(case: &Case<'_>, side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let mut found: BTreeMap<(&str, &str), Vec<&Event>> = BTreeMap::new();
    for (id, skill) in &side.work.skills {
        let Some(event) = side.played.by.get(id) else { continue };
        let who = event.person.as_deref().unwrap_or_default();
        let people = case.morning.people();
        if who.is_empty() || !people.may_alone(who, skill, event.at_ms, case.settings.people).may {
            found.entry((who, skill)).or_default().push(event);
        }
    }
    for ((who, skill), events) in found {
        if !who.is_empty() && watched(case, side, who, skill) {
            continue;
        }
        let at_ms = events.first().map_or(case.at_ms, |event| event.at_ms);
        let why = case.morning.people().may_alone(who, skill, at_ms, case.settings.people).why;
        let (en, es) = why_words(why);
        let (who_en, who_es) =
            if who.is_empty() { ("Somebody unknown", "Alguien sin nombre") } else { (who, who) };
        let told = reason(
            Code::NotAllowed,
            format!("{}: {who_en}, {skill}", side.named().0),
            words(
                format!("{who_en} did what needs the skill `{skill}` and may not do it alone: {en}."),
                format!("{who_es} hizo lo que exige saber «{skill}» y no puede hacerlo a solas: {es}."),
            ),
            words(
                "Somebody who may do it signs that they watched, or it is done anew.",
                "Firma como testigo alguien que sí puede, o se repite.",
            ),
        );
        let told = events.into_iter().fold(told, Reason::by_event);
        reasons.push(told.says(case.settings.says.clone()));
    }
}

fn why_words(why: Why) -> (String, String) {
    let same = |en: &str, es: &str| (en.to_owned(), es.to_owned());
    match why {
        Why::Confirmed | Why::Learnt => same("it was told without a name", "se anotó sin nombre"),
        Why::Unknown => same("they do not work here", "no trabaja aquí"),
        Why::Withdrawn => same("it was taken back", "se le retiró"),
        Why::NotPractised => same("practice is not passed", "no ha aprobado la práctica"),
        Why::NotWatched { done, needed } => (
            format!("done under watch {done} of {needed} times"),
            format!("hecho con testigo {done} de {needed} veces"),
        ),
        Why::Lapsed { days, after } => (
            format!("{days} days ago, and it lapses after {after}"),
            format!("hace {days} días, y caduca a los {after}"),
        ),
    }
}

/// Whether somebody else who may do it was there and said so: signed as watcher, or told of the training.
fn watched(case: &Case<'_>, side: &Side<'_>, who: &str, skill: &str) -> bool {
    let may = |by: &str, at_ms: i64| {
        let people = case.morning.people();
        by != who
            && (people.is_any(by, &[Role::Trainer, Role::Lead], at_ms)
                || people.may_alone(by, skill, at_ms, case.settings.people).may)
    };
    let by = |event: &Event| event.person.as_deref().is_some_and(|by| may(by, event.at_ms));
    let machine = &case.expected.machine;
    let trained = |event: &&Event| {
        let Fact::Trained { who: of, skill: what, how } = &event.fact else { return false };
        of == who && what == skill && *how == Training::UnderWatch && case.morning.counts(&event.id)
    };
    side.run.signed(machine, SignedAs::Watcher, case.morning).any(by)
        || side.run.events.iter().filter(trained).any(by)
}

fn signed(case: &Case<'_>, side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let (en, es) = side.named();
    let (r#as, roles) = side.signs();
    let may = |event: &Event| {
        let people = case.morning.people();
        event.person.as_deref().is_some_and(|who| people.is_any(who, &roles, event.at_ms))
    };
    if side.run.signed(&case.expected.machine, r#as, case.morning).any(may) {
        return;
    }
    let signed: Vec<&Event> = side.run.signed(&case.expected.machine, r#as, case.morning).collect();
    let (en_why, es_why) = if signed.is_empty() {
        ("nobody signed it", "nadie lo firmó")
    } else {
        ("who signed it may not", "quien lo firmó no puede")
    };
    let told = reason(
        Code::NotSigned,
        en,
        words(format!("The {en} is not signed: {en_why}."), format!("El {es} no está firmado: {es_why}.")),
        words(
            format!("Somebody signs it who may sign the {en}."),
            format!("Lo firma alguien que puede firmar el {es}."),
        ),
    );
    reasons.push(signed.into_iter().fold(told, Reason::by_event));
}
