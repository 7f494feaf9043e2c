//! What the search decides, and the times that follow from it.
//!
//! A sequence says in which order the pieces come, who does each phase, and which load each item is in. Everybody does
//! their pieces in this order, every bay and every bucket goes from one to the next in this order, and each piece begins
//! as early as that allows. With [many cuts](crate::model::Cuts) every plan in which nothing can begin earlier is the times
//! of its own order of begins, so the search leaves no better one out; and as nothing is ever put into a gap, times cost
//! little to work out.
//!
//! A piece that wants a bay or kit whose taker has not left it yet is set aside until somebody leaves. A greatest lag
//! that is broken lets its earlier end begin later, and the times are worked out again.

use ft_night::{Assignment, Grouping, Plan};

use crate::build::{Crew, crew_of, members};
use crate::search::frame::Frame;
use crate::search::state::State;

/// A decision.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sequence {
    /// The pieces of the card and of the loads that hold something.
    pub order: Vec<usize>,
    /// Who does each act.
    pub crew: Vec<Crew>,
    /// The load of each item.
    pub load: Vec<usize>,
}

impl Sequence {
    /// The decision behind a plan with the loads of the frame. What the plan does not know comes last.
    pub fn of_plan(frame: &Frame, plan: &Plan) -> Self {
        let model = &frame.model;
        let planned = |act: usize| plan.find(model.acts[act].task, model.acts[act].phase);
        let is_past = |piece: &usize| model.pieces[*piece].acts.clone().all(|act| model.past[act].is_some());
        let is_empty = |piece: &usize| {
            frame.load(model.pieces[*piece].task).is_some_and(|load| load >= plan.loads.0.len())
        };
        let mut order: Vec<usize> =
            (0..model.pieces.len()).filter(|piece| !is_past(piece) && !is_empty(piece)).collect();
        order.sort_by_key(|&piece| {
            planned(model.pieces[piece].acts.start).map_or(u32::MAX, |one| one.start_s)
        });
        let crew = |(index, act): (usize, &crate::model::Act)| {
            let can = |people: &&Vec<usize>| people.iter().all(|person| act.able.contains(person));
            let known = planned(index).map(|one| &one.people).filter(|people| !people.is_empty());
            match known.filter(can) {
                Some(people) => crew_of(people),
                None => crew_of(act.able.iter().take(act.people)),
            }
        };
        let crew = model.acts.iter().enumerate().map(crew).collect();
        let mut load = vec![0; frame.items.len()];
        for (index, items) in plan.loads.0.iter().enumerate() {
            for &item in items {
                load[item] = index;
            }
        }
        Self { order, crew, load }
    }

    /// What each load holds.
    pub fn loads(&self, frame: &Frame) -> Vec<Vec<usize>> {
        let mut loads = vec![Vec::new(); frame.journey.len()];
        for (item, &load) in self.load.iter().enumerate() {
            loads[load].push(item);
        }
        loads
    }

    /// The plan of these times, without its word and bound.
    pub fn to_plan(&self, frame: &Frame, state: &State) -> Plan {
        let model = &frame.model;
        let loads = self.loads(frame);
        let mut position = vec![None; loads.len()];
        for (next, load) in (0..loads.len()).filter(|&load| !loads[load].is_empty()).enumerate() {
            position[load] = Some(frame.card_tasks + next);
        }
        let mut assignments = Vec::with_capacity(model.acts.len());
        for (index, act) in model.acts.iter().enumerate() {
            let task = match frame.load(act.task) {
                None => Some(act.task),
                Some(load) => position[load],
            };
            let Some(task) = task else { continue };
            assignments.push(Assignment {
                task,
                phase: act.phase,
                start_s: seconds(state.start[index]),
                end_s: seconds(state.end[index]),
                people: members(state.crew[index]).collect(),
                place: act.place,
                bays: act.rooms.iter().map(|&used| state.bay[act.task][used]).collect(),
            });
        }
        assignments.sort_by_key(|one| (one.start_s, one.task, one.phase));
        let loads = Grouping(loads.into_iter().filter(|load| !load.is_empty()).collect());
        Plan { assignments, loads, score: state.score(), ..Plan::default() }
    }
}

fn seconds(time: crate::model::Time) -> u32 {
    u32::try_from(time).unwrap_or(u32::MAX)
}
