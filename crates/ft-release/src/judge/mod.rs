//! The question: one record held against what was expected, at one moment.

mod parts;
mod run;
mod stock;
mod times;

use ft_form::Words;
use ft_lots::Limits;
use ft_record::{Installed, Role, SignedAs};

use crate::decision::{CAUTION, CAUTION_ES, Code, Decision, OverriddenBy, Reason};
use crate::expected::{Expected, Settings, Work};
use crate::morning::{MachineLog, Morning, Run};
use crate::played::{Played, play};
use crate::say::{reason, words};

/// Everything that a judge looks at.
pub(crate) struct Case<'a> {
    pub morning: &'a Morning,
    pub log: &'a MachineLog,
    pub expected: &'a Expected,
    pub limits: &'a Limits,
    pub settings: &'a Settings,
    pub at_ms: i64,
    pub closing: Option<Side<'a>>,
    pub opening: Option<Side<'a>>,
}

/// A run, what it should have been, and what it was.
pub(crate) struct Side<'a> {
    pub is_closing: bool,
    pub run: &'a Run,
    pub installed: Option<&'a Installed>,
    pub work: &'a Work,
    pub played: Played<'a>,
    pub events: Vec<&'a ft_record::Event>,
}

/// Whether a machine may serve at a moment, with every reason against it.
///
/// The closing is the machine's last run of the procedure `closing`, the opening the last one of `opening` that began
/// after it. `expected` must have been made for the machine files, options and loads of those two runs; where it was
/// not, that is a reason. Cost: the events of the two runs, and the lots that are held.
pub fn may_it_serve(
    morning: &Morning,
    expected: &Expected,
    limits: &Limits,
    settings: &Settings,
    at_ms: i64,
) -> Decision {
    let nothing = MachineLog::default();
    let machine = expected.machine.as_str();
    let closing =
        morning.last_run(machine, "closing").map(|run| side(morning, machine, run, &expected.closing, true));
    let opening = morning
        .last_run(machine, "opening")
        .filter(|run| closing.as_ref().is_none_or(|closing| closing.run.opened_ms < run.opened_ms))
        .map(|run| side(morning, machine, run, &expected.opening, false));
    let log = morning.machine(machine).unwrap_or(&nothing);
    let case = Case { morning, log, expected, limits, settings, at_ms, closing, opening };
    let mut reasons = Vec::new();
    missing_runs(&case, &mut reasons);
    for side in case.closing.iter().chain(&case.opening) {
        run::judge(&case, side, &mut reasons);
        times::judge(&case, side, &mut reasons);
    }
    parts::judge(&case, &mut reasons);
    times::circuits(&case, &mut reasons);
    stock::judge(&case, &mut reasons);
    faults(&case, &mut reasons);
    for reason in &mut reasons {
        reason.overridden = overridden(&case, reason);
    }
    reasons.sort_by(|a, b| {
        (a.overridden.is_some(), a.code, &a.subject).cmp(&(b.overridden.is_some(), b.code, &b.subject))
    });
    reasons.dedup_by(|later, first| later.key == first.key && later.sentence == first.sentence);
    Decision {
        machine: machine.to_owned(),
        at_ms,
        may_serve: reasons.iter().all(|reason| reason.overridden.is_some()),
        reasons,
        looked_at: Code::ALL.to_vec(),
        closing: case.closing.as_ref().map(|side| side.run.id.clone()),
        opening: case.opening.as_ref().map(|side| side.run.id.clone()),
        caution: Words::from([
            ("en".to_owned(), CAUTION.to_owned()),
            ("es".to_owned(), CAUTION_ES.to_owned()),
        ]),
    }
}

fn side<'a>(morning: &'a Morning, machine: &str, run: &'a Run, work: &'a Work, is_closing: bool) -> Side<'a> {
    let events = run.of_machine(machine, morning);
    let played = play(&work.form, &events);
    Side { is_closing, run, installed: morning.installed(run, machine), work, played, events }
}

impl Side<'_> {
    /// The procedure, in words.
    pub(crate) fn named(&self) -> (&'static str, &'static str) {
        if self.is_closing { ("closing", "cierre") } else { ("opening", "apertura") }
    }

    /// As what it is signed, and by whom it may be.
    pub(crate) fn signs(&self) -> (SignedAs, [Role; 2]) {
        if self.is_closing {
            (SignedAs::Closer, [Role::Closer, Role::Lead])
        } else {
            (SignedAs::Opener, [Role::Opener, Role::Lead])
        }
    }
}

fn missing_runs(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    let machine = &case.expected.machine;
    if case.closing.is_none() {
        reasons.push(reason(
            Code::NoClosing,
            machine,
            words(
                format!("No closing of the {machine} is on record."),
                format!("No hay ningún cierre de {machine} anotado."),
            ),
            words(
                "Close it: product out, apart, wash, rinse, sanitise, lay out, and tell each step.",
                "Ciérrela: sacar el producto, desmontar, lavar, aclarar, desinfectar y ordenar, anotando cada paso.",
            ),
        ));
    }
    if case.opening.is_none() {
        reasons.push(reason(
            Code::NoOpening,
            machine,
            words(
                format!("The {machine} was not opened since its last closing."),
                format!("{machine} no se ha abierto desde su último cierre."),
            ),
            words(
                "Open it: fit every part, sanitise, and tell each step.",
                "Ábrala: montar cada pieza, desinfectar y anotar cada paso.",
            ),
        ));
    }
}

fn faults(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    let mended = |fault: &str| {
        case.log.mended.iter().any(|told| told.what == fault && case.morning.counts(&told.event))
    };
    for fault in &case.log.faults {
        if !case.morning.counts(&fault.event) || mended(&fault.event) {
            continue;
        }
        let told = reason(
            Code::FaultOpen,
            &fault.event,
            words(
                format!("A fault is open: {}.", fault.what.trim_end_matches('.')),
                format!("Hay una avería sin resolver: {}.", fault.what.trim_end_matches('.')),
            ),
            words("Mend it and tell what was done.", "Repárela y anote lo que se hizo."),
        );
        reasons.push(told.by_told(fault));
    }
}

/// Who set a reason aside: a lead, with a reason, for this opening, and after everything that it rests on.
fn overridden(case: &Case<'_>, reason: &Reason) -> Option<OverriddenBy> {
    if !reason.may_be_overridden {
        return None;
    }
    let since = case.opening.as_ref().and_then(|side| side.run.opened_ms)?;
    let latest = reason.evidence.iter().filter_map(|evidence| evidence.at_ms).max().unwrap_or(since);
    let standing = case.log.overrides.iter().rev().filter(|told| {
        told.what.key == reason.key
            && since <= told.at_ms
            && latest <= told.at_ms
            && !told.what.because.trim().is_empty()
            && case.morning.counts(&told.event)
    });
    for told in standing {
        let Some(by) = &told.person else { continue };
        if case.morning.people().is_any(by, &[Role::Lead], told.at_ms) {
            return Some(OverriddenBy {
                event: told.event.clone(),
                by: by.clone(),
                because: told.what.because.clone(),
            });
        }
    }
    None
}
