//! The plan as people carry it out: who, when, where, which events, with what to beware of.

use ft_app::tonight::pick;
use ft_compile::lower::{Key, TaskFrom};
use ft_machine::{Caution, CautionKind, PartId, SideId};
use ft_night::Plan;
use serde::Serialize;

use crate::machine::{Live, Run};
use crate::pieces::Piece;

/// Something to beware of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Beware {
    /// What kind of harm, such as `sharp`.
    pub kind: &'static str,
    /// The words.
    pub text: String,
}

/// What passes before an event, counted from the one before it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Wait {
    /// The event, by its name.
    pub event: String,
    /// How long by the plan, seconds.
    pub seconds: u32,
    /// How long at least, seconds; 0 where a person sees when it is over.
    pub least_s: u32,
}

/// What somebody does in one go.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    /// Begin, milliseconds since 1970.
    pub start_ms: i64,
    /// End, likewise.
    pub end_ms: i64,
    /// Who, by name; nobody: it goes on alone.
    pub people: Vec<String>,
    /// The machine, by the name that its kitchen gives it.
    pub machine: String,
    /// What.
    pub title: String,
    /// Its events, by name, in order.
    pub events: Vec<String>,
    /// Where.
    pub place: Option<String>,
    /// What to beware of, before it is done.
    pub cautions: Vec<Beware>,
    /// The words for the crew.
    pub say: Option<String>,
    /// Whether it is a stage of a wash load.
    pub load: bool,
    /// The parts that it is about.
    pub parts: Vec<String>,
    /// What passes before some of its events.
    pub waits: Vec<Wait>,
}

/// The plan with its rows by begin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlanRows {
    /// When second 0 is, milliseconds since 1970.
    pub begins_ms: i64,
    /// When everybody is out.
    pub out_ms: i64,
    /// What is done, by its begin.
    pub rows: Vec<Row>,
}

/// The rows of a plan of this run; `people` names the plan's people by position.
pub fn rows(
    run: &Run,
    pieces: &[Piece],
    plan: &Plan,
    people: &[String],
    begins_ms: i64,
    language: &str,
) -> PlanRows {
    let at = |second: u32| begins_ms + 1000 * i64::from(second);
    let places = run.problem.with_loads(&plan.loads).places;
    let mut rows = Vec::new();
    for piece in pieces {
        let of = |one: &&ft_night::Assignment| {
            one.task == piece.plan_task && (piece.phases.0..=piece.phases.1).contains(&one.phase)
        };
        let spans: Vec<&ft_night::Assignment> = plan.assignments.iter().filter(of).collect();
        let (Some(start), Some(end)) =
            (spans.iter().map(|one| one.start_s).min(), spans.iter().map(|one| one.end_s).max())
        else {
            continue;
        };
        let attended = spans.iter().find(|one| !one.people.is_empty());
        let live = &run.machines[piece.machine];
        let name = |event: &usize| live.form.events[*event].name.clone();
        let who = attended.map_or(&[][..], |one| one.people.as_slice());
        rows.push(Row {
            start_ms: at(start),
            end_ms: at(end),
            people: who.iter().filter_map(|person| people.get(*person).cloned()).collect(),
            machine: live.ready.name.clone(),
            title: title(live, piece, language),
            events: piece.events.iter().map(name).collect(),
            place: attended.and_then(|one| pick(&places[one.place].title, language)).map(str::to_owned),
            cautions: cautions(live, piece, language),
            say: say(live, piece, language),
            load: matches!(piece.lowered(live).from, TaskFrom::Load(..)),
            parts: parts(live, piece, language),
            waits: piece
                .waits
                .iter()
                .map(|one| Wait { event: name(&one.event), seconds: one.seconds, least_s: one.least_s })
                .collect(),
        });
    }
    rows.sort_by_key(|a| (a.start_ms, a.end_ms));
    PlanRows { begins_ms, out_ms: at(plan.score.ends_at_s), rows }
}

fn words<'l>(live: &'l Live, piece: &Piece, language: &str) -> &'l str {
    let event = &live.form.events[piece.events[0]];
    pick(&event.words, language).unwrap_or(&event.name)
}

fn title(live: &Live, piece: &Piece, language: &str) -> String {
    let words = words(live, piece, language);
    words.split_once(": ").map_or(words, |(title, _)| title).to_owned()
}

fn say(live: &Live, piece: &Piece, language: &str) -> Option<String> {
    words(live, piece, language).split_once(": ").map(|(_, said)| said.to_owned())
}

/// The parts that a piece's task changes, or that are in its load.
fn touched(live: &Live, piece: &Piece) -> Vec<(PartId, Option<SideId>)> {
    let task = piece.lowered(live);
    if let TaskFrom::Load(load, _) = task.from {
        return live.loads[load].1.clone();
    }
    let mut found = Vec::new();
    for effect in piece.events.iter().flat_map(|event| &live.lowered.form.events[*event].eff) {
        if let Some(Key::Part(part, side)) = live.lowered.keys.get(effect.var)
            && !found.contains(&(*part, *side))
        {
            found.push((*part, *side));
        }
    }
    found
}

fn parts(live: &Live, piece: &Piece, language: &str) -> Vec<String> {
    touched(live, piece).into_iter().map(|(part, side)| live.part_label(part, side, language)).collect()
}

/// What the step warns of, and the parts that it is about.
fn cautions(live: &Live, piece: &Piece, language: &str) -> Vec<Beware> {
    let Some(machine) = live.ready.file.machine.as_ref() else { return Vec::new() };
    let mut all: Vec<&Caution> = Vec::new();
    if let TaskFrom::Step(step) = piece.lowered(live).from {
        all.extend(&live.ready.file.procedures[live.ready.procedure].steps[step].cautions);
    }
    all.extend(touched(live, piece).iter().flat_map(|(part, _)| &machine.parts[*part].cautions));
    let mut out: Vec<Beware> = Vec::new();
    for caution in all {
        let text = pick(&caution.words, language).unwrap_or_default().to_owned();
        let beware = Beware { kind: kind(caution.kind), text };
        if !out.contains(&beware) {
            out.push(beware);
        }
    }
    out
}

fn kind(kind: CautionKind) -> &'static str {
    match kind {
        CautionKind::Pressure => "pressure",
        CautionKind::Moving => "moving",
        CautionKind::Sharp => "sharp",
        CautionKind::Heavy => "heavy",
        CautionKind::Fragile => "fragile",
        CautionKind::Chemical => "chemical",
        CautionKind::Electric => "electric",
        CautionKind::Hot => "hot",
        CautionKind::Wet => "wet",
    }
}
