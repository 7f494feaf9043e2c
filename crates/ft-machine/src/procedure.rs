//! What people do to a machine.

use ft_units::{Time, Volume};

use crate::machine::{
    Caution, FactId, LineId, Liquid, Named, OptionId, PartId, PlaceId, SideId, SinkId, SolutionId, Span,
    SwitchId, ValveId, VesselId, Words,
};

/// Index into [`Procedure::steps`].
pub type StepId = usize;

/// Steps for a purpose.
#[derive(Debug, Clone, PartialEq)]
pub struct Procedure {
    /// Its name, such as `closing`.
    pub named: Named,
    /// What the card's order means.
    pub order: CardOrder,
    /// The procedure whose mirror image comes first, if any: its name.
    pub from: Option<String>,
    /// Mirrored steps to leave out, by title.
    pub without: Vec<(String, Span)>,
    /// Steps in the card's order.
    pub steps: Vec<Step>,
    /// Hazards of the author's own.
    pub never: Vec<Wish>,
    /// What must hold at the end besides what the tool knows.
    pub goal: Vec<Condition>,
    /// Sides kept in service.
    pub serving: Option<Serving>,
}

/// What the order of steps on the card means to the proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardOrder {
    /// Each side's steps are done in the card's order; sides go on beside each other.
    Card,
    /// Only `after` counts.
    Free,
}

/// Sides that stay in service up to a time of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Serving {
    /// Minutes after midnight.
    pub until_min: u32,
    /// How many sides.
    pub sides: u32,
}

/// A hazard of the author's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// Its sentence.
    pub named: Named,
    /// What must never hold together.
    pub when: Vec<Condition>,
}

/// One step on the card.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its title.
    pub named: Named,
    /// The words for the crew.
    pub say: Words,
    /// Whether it is done once for each side.
    pub each_side: bool,
    /// Where.
    pub place: Option<PlaceId>,
    /// How long hands are busy at its beginning.
    pub time: Time,
    /// How many people's hands it needs.
    pub people: u32,
    /// The skill that it needs.
    pub skill: Option<String>,
    /// Kit held from its begin to its end.
    pub uses: Vec<VesselId>,
    /// Steps that the author wants before it, with the reason.
    pub after: Vec<(StepId, Words)>,
    /// When it is due, if not every night.
    pub every: Option<Every>,
    /// What to beware of.
    pub cautions: Vec<Caution>,
    /// What happens, in order.
    pub statements: Vec<Statement>,
    /// A picture, by file name.
    pub photo: Option<String>,
}

/// What is due by calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Every {
    /// On this day of the week, Monday = 0.
    Week(u8),
}

/// Which side's item is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SideRef {
    /// The item exists once.
    Shared,
    /// The side that the step is done for.
    This,
    /// A side named from outside.
    Of(SideId),
}

/// An item, and on which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Target {
    /// What.
    pub subject: Subject,
    /// On which side.
    pub side: SideRef,
}

/// An item that a statement or a condition can speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A switch.
    Switch(SwitchId),
    /// A vessel.
    Vessel(VesselId),
    /// A valve.
    Valve(ValveId),
    /// A line.
    Line(LineId),
    /// A part.
    Part(PartId),
    /// A fact.
    Fact(FactId),
}

/// Something that may hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Of what.
    pub target: Target,
    /// What is asked of it.
    pub test: Test,
    /// Whether it must hold, or must not.
    pub is: bool,
    /// Where the file says so.
    pub span: Span,
}

/// What a condition asks of its item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Test {
    /// A switch is in this position.
    Position(usize),
    /// A fact has this value.
    Value(usize),
    /// A valve is open.
    Open,
    /// A part is on the machine.
    Fitted,
    /// A part has been washed, rinsed and sanitised, or an inside has.
    Sanitised,
    /// A vessel or line is under pressure.
    Pressure,
    /// A vessel has nothing in it.
    Empty,
    /// A vessel holds this.
    Holds(Liquid),
    /// An end of a line is connected.
    Connected(usize),
}

/// A pause within a step: what stands before it takes effect when the step begins, what stands after when it ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    /// How long, at least (`for`) or about (`about`).
    pub time: Time,
    /// Whether `time` is about what it takes, and not the least that has to pass.
    pub is_about: bool,
    /// What is waited for, if not a time.
    pub until: Words,
    /// Whether the hands are free meanwhile.
    pub unattended: bool,
    /// How long hands are busy after it.
    pub then: Time,
}

/// One answer to a look, and what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The answer.
    pub named: Named,
    /// What follows.
    pub statements: Vec<Statement>,
    /// More words for the crew.
    pub say: Words,
}

/// What a step does. The set is closed, so that safety does not hang on what the author remembered to write.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    /// Moves a switch to a position.
    Switch(Target, usize),
    /// Opens a valve.
    Open(Target),
    /// Shuts a valve.
    Shut(Target),
    /// Connects one end of a line.
    Connect(Target, usize),
    /// Disconnects one end of a line.
    Disconnect(Target, usize),
    /// A part leaves the machine.
    TakeOff(Target),
    /// A part joins the machine.
    Fit(Target),
    /// A subassembly comes apart, seals and all.
    TakeApart(Target),
    /// A subassembly is put together.
    PutTogether(Target),
    /// A liquid goes into a vessel; `None`: as much as it holds.
    Fill(Target, Liquid, Option<Volume>),
    /// A liquid goes from a vessel into another, or to waste; `None`: all of it.
    Pour(Target, Option<Target>, Option<Volume>),
    /// Pressure off.
    Vent(Target),
    /// Pressure on.
    Charge(Target),
    /// Kit is taken from the shelf.
    Take(Target),
    /// Kit goes back.
    GiveBack(Target),
    /// Kit is hung somewhere and the hands are free of it.
    Hang(Target, Words),
    /// Kit is lifted off again.
    Lift(Target),
    /// What stays in is scrubbed, with a brush and perhaps a solution.
    Scrub(Target, Option<String>, Option<SolutionId>),
    /// What stays in is flushed.
    Flush(Target, Liquid),
    /// A look at a part.
    Inspect(Target, Words),
    /// A part is lubricated.
    Lubricate(Target),
    /// A part is exchanged for a new one.
    Replace(Target),
    /// A part is found off the machine already.
    AlreadyOff(Target),
    /// A part is not to be found.
    Missing(Target),
    /// A reading with limits, as the author wrote them.
    Measure {
        /// What is read.
        what: Words,
        /// The limits, with unit.
        within: String,
        /// Where the file says so.
        span: Span,
    },
    /// What is seen decides what follows.
    Look(Words, Vec<Finding>),
    /// Product is kept as a lot: from a vessel, into a vessel or place.
    Store(Target, Words),
    /// What is in a vessel is thrown away, and why.
    Discard(Target, Words),
    /// A pause.
    Wait(Wait),
    /// A vessel's contents stand.
    Stand(Target, Wait),
    /// Hands cannot do it unless this holds.
    Needs(Condition),
    /// A fact changes.
    Set(Target, usize),
    /// The author's own wash load.
    Wash(Vec<Target>, Option<SinkId>),
    /// Parts or statements that exist only with an option.
    Only(OptionId, Vec<Statement>),
}
