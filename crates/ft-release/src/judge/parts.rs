//! Whether every part is there, went through its journey, is on the machine, good, lubricated and within its life.

use ft_record::{Journey, PartRef};

use super::{Case, Side};
use crate::decision::{Code, Reason};
use crate::expected::Part;
use crate::morning::{PartFact, Told};
use crate::say::{in_language, part_name, reason, words};

/// The value of a part's state that is on the machine, and the one that is lost.
const FITTED: &str = "fitted";
const MISSING: &str = "missing";

pub(super) fn judge(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    missing(case, reasons);
    for part in &case.expected.parts {
        journey(case, part, reasons);
        fitted(case, part, reasons);
        inspected(case, part, reasons);
        life(case, part, reasons);
    }
}

/// What was told of a part, whichever of several equal ones is meant, and stands; sorted by time.
fn told<'a>(case: &'a Case<'_>, part: &PartRef) -> Vec<&'a Told<PartFact>> {
    let same = |other: &PartRef| other.part == part.part && other.side == part.side;
    let all = case.log.parts.iter().filter(|(other, _)| same(other)).flat_map(|(_, list)| list);
    let mut all: Vec<_> = all.filter(|told| case.morning.counts(&told.event)).collect();
    all.sort_by_key(|told| told.at_ms);
    all
}

fn missing(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    let yes_when = || {
        words(
            "Find it, or put a new one in its place and tell it. Look in the product first.",
            "Encuéntrela, o ponga una nueva y anótelo. Mire primero en el producto.",
        )
    };
    let sentence = |name: &str| {
        words(format!("The part `{name}` is not to be found."), format!("No se encuentra la pieza «{name}»."))
    };
    for (part, list) in &case.log.parts {
        let about = list.iter().rev().find(|told| {
            case.morning.counts(&told.event)
                && matches!(told.what, PartFact::Missing | PartFact::Found | PartFact::Replaced)
        });
        if let Some(told) = about.filter(|told| told.what == PartFact::Missing) {
            let name = part_name(part);
            reasons.push(reason(Code::PartMissing, &name, sentence(&name), yes_when()).by_told(told));
        }
    }
    for side in case.closing.iter().chain(&case.opening) {
        for part in &case.expected.parts {
            if state(side, part) == Some(MISSING) {
                let name = part_name(&part.part);
                let told = reason(Code::PartMissing, &name, sentence(&name), yes_when());
                reasons.push(match changed(side, part) {
                    Some(event) => told.by_event(event),
                    None => told,
                });
            }
        }
    }
}

/// The part's state at the end of a run, by its name.
fn state<'a>(side: &'a Side<'_>, part: &Part) -> Option<&'a str> {
    let var = if side.is_closing { part.closing } else { part.opening }?;
    let of = side.work.form.vars.get(var)?;
    let index = usize::try_from(side.played.state.vals[var] - of.lo).ok()?;
    of.vals.get(index).map(String::as_str)
}

fn changed<'a>(side: &'a Side<'_>, part: &Part) -> Option<&'a ft_record::Event> {
    let var = if side.is_closing { part.closing } else { part.opening }?;
    side.played.changed.get(&var).copied()
}

/// Whether the goal of the closing holds for the part, and nobody said later that it went back.
fn journey(case: &Case<'_>, part: &Part, reasons: &mut Vec<Reason>) {
    let (Some(side), Some(var)) = (&case.closing, part.closing) else { return };
    let form = &side.work.form;
    let missed = form.goal.iter().any(|goal| goal.var == var && !side.played.state.holds(form, &[*goal]));
    let begun = side.run.opened_ms.unwrap_or(i64::MIN);
    let until = case.opening.as_ref().and_then(|side| side.run.opened_ms).unwrap_or(i64::MAX);
    let back = moved(case, part, begun, until, changed(side, part)).filter(|(_, to)| *to < Journey::LaidOut);
    let name = part_name(&part.part);
    let value = state(side, part).unwrap_or_default();
    let tell = |value: &str| {
        let label = |language| in_language(&part.label, language, &part.part.part).to_owned();
        reason(
            Code::JourneyIncomplete,
            &name,
            words(
                format!(
                    "The {} did not go through its whole journey: it was {value} at the end.",
                    label("en")
                ),
                format!("La pieza «{}» no completó su recorrido: al final estaba en «{value}».", label("es")),
            ),
            words(
                "Wash, rinse, sanitise and lay it out, and tell it.",
                "Lávela, aclárela, desinféctela y colóquela, y anótelo.",
            ),
        )
    };
    match (missed, back) {
        (_, Some((told, to))) => {
            let value = format!("{to:?}").to_lowercase();
            reasons.push(tell(&value).by_told(told).found(value.clone(), "laid out"));
        }
        (true, None) => reasons.push(match changed(side, part) {
            Some(event) => tell(value).by_event(event).found(value, "in slot"),
            None => tell(value).found(value, "in slot"),
        }),
        (false, None) => {}
    }
}

/// The last place on its journey that was told of a part within a span of time, if that was after what the steps say.
fn moved<'a>(
    case: &'a Case<'_>,
    part: &Part,
    from_ms: i64,
    until_ms: i64,
    steps: Option<&ft_record::Event>,
) -> Option<(&'a Told<PartFact>, Journey)> {
    let after = steps.map_or(from_ms, |event| event.at_ms.max(from_ms));
    told(case, &part.part).into_iter().rev().find_map(|told| match told.what {
        PartFact::Moved(to) if after <= told.at_ms && told.at_ms < until_ms => Some((told, to)),
        _ => None,
    })
}

fn fitted(case: &Case<'_>, part: &Part, reasons: &mut Vec<Reason>) {
    let Some(side) = &case.opening else { return };
    if part.opening.is_none() && part.closing.is_none() {
        return;
    }
    // A part that the opening does not speak of has to be where the closing left it fitted, or be told as fitted.
    let value = match part.opening {
        Some(_) => state(side, part),
        None => case.closing.as_ref().and_then(|side| state(side, part)),
    };
    let begun = side.run.opened_ms.unwrap_or(i64::MIN);
    let last = moved(case, part, begun, i64::MAX, changed(side, part));
    let is_fitted = match &last {
        Some((_, to)) => *to == Journey::Fitted && (value == Some(FITTED) || part.opening.is_none()),
        None => value == Some(FITTED),
    };
    if is_fitted {
        return;
    }
    let name = part_name(&part.part);
    let label = |language| in_language(&part.label, language, &part.part.part).to_owned();
    let value = value.unwrap_or("not told").to_owned();
    let tell = reason(
        Code::PartNotFitted,
        &name,
        words(
            format!("The {} of last night's tray is not on the machine.", label("en")),
            format!("La pieza «{}» de la bandeja de anoche no está en la máquina.", label("es")),
        ),
        words("Fit it and tell it.", "Móntela y anótelo."),
    );
    reasons.push(match (last, changed(side, part)) {
        (Some((told, _)), _) => tell.by_told(told).found(value, FITTED),
        (None, Some(event)) => tell.by_event(event).found(value, FITTED),
        (None, None) => tell.found(value, FITTED),
    });
}

fn inspected(case: &Case<'_>, part: &Part, reasons: &mut Vec<Reason>) {
    let told = told(case, &part.part);
    let last = told.iter().rev().find_map(|told| match told.what {
        PartFact::Inspected { good, lubricated } => Some((told, good, lubricated)),
        PartFact::Replaced => Some((told, true, true)),
        _ => None,
    });
    let Some((told, good, lubricated)) = last else { return };
    let name = part_name(&part.part);
    let label = |language| in_language(&part.label, language, &part.part.part).to_owned();
    if !good {
        let tell = reason(
            Code::PartBad,
            &name,
            words(
                format!("The {} was looked at and is not good.", label("en")),
                format!("Se revisó la pieza «{}» y no está bien.", label("es")),
            ),
            words(
                "Put a new one in its place, or look at it again.",
                "Ponga una nueva, o revísela otra vez.",
            ),
        );
        reasons.push(tell.by_told(told));
    }
    let begun = case.opening.as_ref().and_then(|side| side.run.opened_ms).unwrap_or(i64::MAX);
    if good && part.lubricated && !lubricated && begun <= told.at_ms {
        let tell = reason(
            Code::NotLubricated,
            &name,
            words(
                format!("The {} was fitted without lubricant.", label("en")),
                format!("La pieza «{}» se montó sin lubricante.", label("es")),
            ),
            words("Lubricate it and tell it.", "Lubríquela y anótelo."),
        );
        reasons.push(tell.by_told(told));
    }
}

fn life(case: &Case<'_>, part: &Part, reasons: &mut Vec<Reason>) {
    let Some(lasts) = part.lasts_days else { return };
    let told = told(case, &part.part);
    let replaced = told.iter().rev().find(|told| told.what == PartFact::Replaced);
    let Some(since) = replaced.map(|told| told.at_ms).or(case.log.first_ms) else { return };
    let days = (case.at_ms - since) as f64 / 86_400_000.0;
    let begun = case.opening.as_ref().and_then(|side| side.run.opened_ms).unwrap_or(i64::MAX);
    let is_good = told
        .iter()
        .any(|told| begun <= told.at_ms && matches!(told.what, PartFact::Inspected { good: true, .. }));
    if days <= lasts || is_good {
        return;
    }
    let name = part_name(&part.part);
    let label = |language| in_language(&part.label, language, &part.part.part).to_owned();
    let tell = reason(
        Code::PastLife,
        &name,
        words(
            format!(
                "The {} is {days:.0} days old and lasts {lasts:.0}; nobody looked at it this morning.",
                label("en")
            ),
            format!(
                "La pieza «{}» tiene {days:.0} días y dura {lasts:.0}; nadie la ha revisado esta mañana.",
                label("es")
            ),
        ),
        words(
            "Replace it, or look at it and tell that it is good.",
            "Cámbiela, o revísela y anote que está bien.",
        ),
    );
    let tell = match replaced {
        Some(told) => tell.by_told(told),
        None => tell,
    };
    reasons.push(tell.found(format!("{days:.0} days"), format!("{lasts:.0} days")).says("the machine file"));
}
