//! The problem: what there is to do, who is here, and every rule that a plan must keep.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// A sentence or a name in one or more languages, by language code (`en`, `es`).
pub type Words = BTreeMap<String, String>;

/// The most people that one plan is for.
pub const MAX_PEOPLE: usize = 64;

/// Everything that tonight's plan has to know.
///
/// Lists refer to each other by position. [`Problem::faults`] says where a reference leads nowhere.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Problem {
    /// What the night is called.
    pub name: String,
    /// Where work is done.
    pub places: Vec<Place>,
    /// Walking times, seconds: `walk_s[from][to]`, one row for each place. Empty: no walking at all.
    #[serde(default)]
    pub walk_s: Vec<Vec<u32>>,
    /// What some steps ask of those who do them.
    #[serde(default)]
    pub skills: Vec<Words>,
    /// Who is here.
    pub people: Vec<Person>,
    /// Things that one step takes and a later step gives back.
    #[serde(default)]
    pub kit: Vec<KitPool>,
    /// Sinks, racks and other room that things occupy for a while.
    #[serde(default)]
    pub rooms: Vec<Room>,
    /// The sides of all machines.
    #[serde(default)]
    pub sides: Vec<Side>,
    /// What is to be done, in the card's order.
    pub tasks: Vec<Task>,
    /// Which comes before which, and by how much.
    #[serde(default)]
    pub lags: Vec<Lag>,
    /// Kit that stays taken from one step to another.
    #[serde(default)]
    pub holds: Vec<Hold>,
    /// Parts to be washed, which the plan groups into loads.
    #[serde(default)]
    pub wash: WashWork,
    /// How many sides must go on serving, and until when.
    #[serde(default)]
    pub serving: Vec<Serving>,
    /// When everything must have ended, if anybody asked.
    #[serde(default)]
    pub deadline_s: Option<u32>,
    /// The present: nothing that has not begun may begin earlier. 0 before the night.
    #[serde(default)]
    pub now_s: u32,
    /// What has already begun or happened, as it really went.
    #[serde(default)]
    pub done: Vec<Done>,
}

/// A place where people work.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Its name.
    pub title: Words,
}

/// One of the crew.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Their name.
    pub name: String,
    /// Skills that they have: positions in [`Problem::skills`].
    #[serde(default)]
    pub skills: Vec<usize>,
    /// When they come, seconds.
    #[serde(default)]
    pub from_s: u32,
    /// When they must leave, seconds; `None` stays to the end.
    #[serde(default)]
    pub to_s: Option<u32>,
    /// Percent of the usual time that their hands need: 100 is usual, 130 is slower. 0 is read as 100.
    #[serde(default)]
    pub pace_percent: u32,
    /// Where they stand at first; `None`: wherever their first work is.
    #[serde(default)]
    pub starts_at: Option<usize>,
    /// The side that they usually keep to (a habit, not a rule).
    #[serde(default)]
    pub keeps_side: Option<usize>,
}

impl Person {
    /// Seconds that this person needs for `hands_s` seconds of usual hand work, rounded up.
    pub fn paced(&self, hands_s: u32) -> u32 {
        let percent = if self.pace_percent == 0 { 100 } else { u64::from(self.pace_percent) };
        u32::try_from((u64::from(hands_s) * percent).div_ceil(100)).unwrap_or(u32::MAX)
    }
}

/// Kit that is counted: buckets, jugs, brushes.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitPool {
    /// Its name.
    pub title: Words,
    /// How many there are.
    pub count: u32,
}

/// Room that things occupy: a row of equal sink bowls, a rack.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Its name.
    pub title: Words,
    /// How many equal bays (bowls) it has; whatever uses the room is in one of them.
    pub bays: u32,
    /// How much one bay takes at once.
    pub units: u32,
}

/// One side of one machine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Side {
    /// Its name.
    pub title: Words,
    /// Which machine it belongs to; machines are numbered from 0.
    pub machine: usize,
    /// Until when it must serve at least: no step with [`Task::ends_service`] may begin on it before.
    #[serde(default)]
    pub serves_until_s: u32,
}

/// One step of the card: phases that follow each other.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// What it is called.
    pub title: Words,
    /// The side that it belongs to.
    #[serde(default)]
    pub side: Option<usize>,
    /// Whether the side stops serving when this begins.
    #[serde(default)]
    pub ends_service: bool,
    /// It may not begin before, seconds.
    #[serde(default)]
    pub release_s: u32,
    /// It must have ended by, seconds.
    #[serde(default)]
    pub due_s: Option<u32>,
    /// Its phases in their order; at least one.
    pub phases: Vec<Phase>,
    /// The room that it occupies meanwhile.
    #[serde(default)]
    pub rooms: Vec<RoomUse>,
}

/// A part of a step during which nothing changes: hands on, or waiting, attended or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// Hand work at the usual pace, seconds. The slowest of those who do it sets its length.
    #[serde(default)]
    pub hands_s: u32,
    /// Waiting that no pace changes, seconds; comes on top of `hands_s`.
    #[serde(default)]
    pub wait_s: u32,
    /// How many people it takes from begin to end; 0 runs unattended.
    #[serde(default)]
    pub people: u32,
    /// What each of them must be able to do.
    #[serde(default)]
    pub skill: Option<usize>,
    /// Where they are.
    #[serde(default)]
    pub place: usize,
    /// How many seconds at most after the end of the phase before it begins; `None`: as many as you like.
    /// Of no meaning for the first phase. An unattended phase that begins by itself has `Some(0)`.
    #[serde(default)]
    pub late_s: Option<u32>,
    /// Whether those who did the last attended phase of the step also do this one.
    #[serde(default)]
    pub same_people: bool,
}

/// Room that a task occupies: one bay, from the begin of a phase until the begin of the phase after the last one that
/// needs it (things stay in the sink until somebody moves them), or until the end of the task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoomUse {
    /// Which room.
    pub room: usize,
    /// How much of one bay.
    pub units: u32,
    /// What kind of thing: a bay never holds two kinds at once. `None` goes with everything.
    #[serde(default)]
    pub class: Option<usize>,
    /// First phase during which it is occupied.
    #[serde(default)]
    pub from_phase: usize,
    /// Last phase during which it is occupied.
    #[serde(default)]
    pub to_phase: usize,
}

/// Begin or end of a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Edge {
    /// The begin of its first phase.
    Begin,
    /// The end of its last phase.
    #[default]
    End,
}

/// An instant of a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Which task.
    pub task: usize,
    /// Which of its ends.
    pub edge: Edge,
}

impl Point {
    /// The begin of a task.
    pub fn begin(task: usize) -> Self {
        Self { task, edge: Edge::Begin }
    }

    /// The end of a task.
    pub fn end(task: usize) -> Self {
        Self { task, edge: Edge::End }
    }
}

/// `to` comes at least `min_s` and at most `max_s` seconds after `from`.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lag {
    /// The earlier instant.
    pub from: Point,
    /// The later instant.
    pub to: Point,
    /// At least, seconds; may be negative.
    #[serde(default)]
    pub min_s: i64,
    /// At most, seconds: how long a solution lasts, how long a part may lie wet.
    #[serde(default)]
    pub max_s: Option<i64>,
    /// Why, in words.
    #[serde(default)]
    pub because: Words,
}

/// Kit that stays taken from the begin of one task to the end of another (or of the same), which may not
/// come before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hold {
    /// Which kit.
    pub kit: usize,
    /// How many.
    pub count: u32,
    /// The task that takes it.
    pub from_task: usize,
    /// The task that gives it back.
    pub to_task: usize,
}

/// Parts to be washed, and the ways in which they are.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WashWork {
    /// The ways.
    #[serde(default)]
    pub journeys: Vec<Journey>,
    /// The parts. Every one goes into exactly one load of its own journey.
    #[serde(default)]
    pub items: Vec<Item>,
    /// How the card groups them, if it does: lists of positions in `items`. The plan may merge and split.
    #[serde(default)]
    pub given: Vec<Vec<usize>>,
}

/// The way of a load: wash, rinse, sanitise, lay out to dry.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Journey {
    /// What it is called.
    pub title: Words,
    /// What kind of thing goes this way (plastic, metal, sharp): given to every room that it occupies.
    #[serde(default)]
    pub class: Option<usize>,
    /// The most that one load may take (sum of [`Item::size`]).
    pub units: u32,
    /// Its stages, each of which becomes a phase of the load.
    pub stages: Vec<Stage>,
}

/// One stage of a wash journey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// The phase for an empty load.
    pub phase: Phase,
    /// Hand seconds more for each item.
    #[serde(default)]
    pub each_s: u32,
    /// The room whose bay the load fills (with the sum of its sizes), until the next stage begins.
    #[serde(default)]
    pub room: Option<usize>,
}

/// A part, or a handful of equal parts, to be washed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    /// What it is.
    pub title: Words,
    /// Which way it goes.
    pub journey: usize,
    /// How much room it takes.
    pub size: u32,
    /// Tasks that must have ended before its load begins.
    #[serde(default)]
    pub after: Vec<usize>,
    /// Tasks that may not begin before its load has ended.
    #[serde(default)]
    pub before: Vec<usize>,
    /// The load must begin within so many seconds after each of `after` has ended (a part that may not dry dirty).
    #[serde(default)]
    pub within_s: Option<u32>,
}

/// Of the sides of a machine at least `keep` serve until `until_s`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Serving {
    /// Which machine.
    pub machine: usize,
    /// How many of its sides.
    pub keep: u32,
    /// Until when, seconds. At that second they may stop.
    pub until_s: u32,
}

/// A phase that has begun, as it really went.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Which task (loads come after the tasks, in the order of the grouping).
    pub task: usize,
    /// Which of its phases.
    pub phase: usize,
    /// When it began, seconds.
    pub start_s: u32,
    /// When it ended, or is now expected to.
    pub end_s: u32,
    /// Who does or did it.
    #[serde(default)]
    pub people: Vec<usize>,
    /// The bay taken in each room of the task that is occupied from this phase, in the order of [`Task::rooms`].
    #[serde(default)]
    pub bays: Vec<u32>,
}

impl Problem {
    /// Seconds to walk from one place to another.
    pub fn walk(&self, from: usize, to: usize) -> u32 {
        if from == to || self.walk_s.is_empty() { 0 } else { self.walk_s[from][to] }
    }

    /// The same problem without names and reasons: what a search works on, cheaper to copy.
    #[must_use]
    pub fn without_words(&self) -> Self {
        let mut bare = self.clone();
        bare.tasks.iter_mut().for_each(|task| task.title.clear());
        bare.lags.iter_mut().for_each(|lag| lag.because.clear());
        bare.wash.items.iter_mut().for_each(|item| item.title.clear());
        bare.wash.journeys.iter_mut().for_each(|journey| journey.title.clear());
        bare
    }

    /// References that lead nowhere and shapes that cannot be: one sentence each, empty when all is well.
    pub fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        let mut need = |fine: bool, what: &str| {
            if !fine {
                faults.push(what.to_owned());
            }
        };
        need(self.people.len() <= MAX_PEOPLE, "there are more than 64 people");
        let tasks = self.tasks.len();
        let square = self.walk_s.iter().all(|row| row.len() == self.places.len());
        need(
            self.walk_s.is_empty() || (self.walk_s.len() == self.places.len() && square),
            "walk_s is not one row and one column for each place",
        );
        for (index, person) in self.people.iter().enumerate() {
            let fine = person.skills.iter().all(|&s| s < self.skills.len())
                && person.starts_at.is_none_or(|p| p < self.places.len())
                && person.keeps_side.is_none_or(|s| s < self.sides.len());
            need(fine, &format!("person {index} has a skill, place or side that is not there"));
        }
        for (index, task) in self.tasks.iter().enumerate() {
            need(!task.phases.is_empty(), &format!("task {index} has no phase"));
            need(
                task.side.is_none_or(|s| s < self.sides.len()),
                &format!("task {index} has a side that is not there"),
            );
            for phase in &task.phases {
                need(
                    self.is_phase_sound(phase),
                    &format!("task {index} has a phase whose place or skill is not there"),
                );
            }
            need(keeps_crews(&task.phases), &format!("task {index} keeps its people but not their number"));
            for used in &task.rooms {
                let phases = used.from_phase <= used.to_phase && used.to_phase < task.phases.len();
                need(
                    used.room < self.rooms.len() && phases,
                    &format!("task {index} uses a room or phase that is not there"),
                );
            }
        }
        for (index, lag) in self.lags.iter().enumerate() {
            let fine = lag.from.task < tasks && lag.to.task < tasks;
            need(fine, &format!("lag {index} names a task that is not there"));
        }
        for (index, hold) in self.holds.iter().enumerate() {
            let fine = hold.kit < self.kit.len() && hold.from_task < tasks && hold.to_task < tasks;
            need(fine, &format!("hold {index} names a task or kit that is not there"));
        }
        for (index, journey) in self.wash.journeys.iter().enumerate() {
            need(!journey.stages.is_empty(), &format!("journey {index} has no stage"));
            let phases: Vec<Phase> = journey.stages.iter().map(|stage| stage.phase).collect();
            need(keeps_crews(&phases), &format!("journey {index} keeps its people but not their number"));
            for stage in &journey.stages {
                let fine =
                    self.is_phase_sound(&stage.phase) && stage.room.is_none_or(|r| r < self.rooms.len());
                need(fine, &format!("journey {index} has a stage whose place, skill or room is not there"));
            }
        }
        for (index, item) in self.wash.items.iter().enumerate() {
            let fine = item.journey < self.wash.journeys.len()
                && item.after.iter().chain(&item.before).all(|&task| task < tasks);
            need(fine, &format!("item {index} names a journey or task that is not there"));
        }
        faults
    }

    fn is_phase_sound(&self, phase: &Phase) -> bool {
        let placed = phase.people == 0 || phase.place < self.places.len();
        placed && phase.skill.is_none_or(|s| s < self.skills.len())
    }
}

/// Whether a phase that keeps the people of the attended phase before it needs as many.
fn keeps_crews(phases: &[Phase]) -> bool {
    let attended: Vec<&Phase> = phases.iter().filter(|phase| phase.people > 0).collect();
    attended.windows(2).all(|pair| !pair[1].same_people || pair[1].people == pair[0].people)
}
