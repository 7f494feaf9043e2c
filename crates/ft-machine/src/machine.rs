//! What a machine is made of.

use std::collections::BTreeMap;
use std::ops::Range;

use ft_units::{Mass, Range as Between, StrengthUnit, Temperature, Time, TimeUnit, Volume};

/// Bytes of the machine file.
pub type Span = Range<usize>;
/// A text by language code.
pub type Words = BTreeMap<String, String>;
/// Index into [`Machine::sides`].
pub type SideId = usize;
/// Index into [`Machine::options`].
pub type OptionId = usize;
/// Index into [`Machine::places`].
pub type PlaceId = usize;
/// Index into [`Machine::switches`].
pub type SwitchId = usize;
/// Index into [`Machine::vessels`].
pub type VesselId = usize;
/// Index into [`Machine::valves`].
pub type ValveId = usize;
/// Index into [`Machine::lines`].
pub type LineId = usize;
/// Index into [`Machine::parts`].
pub type PartId = usize;
/// Index into [`Machine::solutions`].
pub type SolutionId = usize;
/// Index into [`Machine::products`].
pub type ProductId = usize;
/// Index into [`Machine::sinks`].
pub type SinkId = usize;
/// Index into [`Machine::facts`].
pub type FactId = usize;

/// What every item of a machine has.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Named {
    /// The name that the file uses for it, unique among items.
    pub name: String,
    /// The name that people read, by language; the default language has `name` itself unless the file says else.
    pub label: Words,
    /// Where the file names it.
    pub span: Span,
    /// Whether it exists once on each side.
    pub per_side: bool,
    /// It exists only where this option is fitted.
    pub only_with: Option<OptionId>,
}

/// A machine model.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Machine {
    /// Its name and title.
    pub named: Named,
    /// Languages in which the crew reads; the first is the default. Never empty.
    pub languages: Vec<String>,
    /// Sides, such as left and right; empty where the machine has none.
    pub sides: Vec<Named>,
    /// Variants that may be fitted.
    pub options: Vec<Named>,
    /// Where people stand.
    pub places: Vec<Place>,
    /// Ways between places.
    pub walks: Vec<Walk>,
    /// Switches.
    pub switches: Vec<Switch>,
    /// Vessels, kit among them.
    pub vessels: Vec<Vessel>,
    /// Valves.
    pub valves: Vec<Valve>,
    /// Lines.
    pub lines: Vec<Line>,
    /// Parts; a seal or a part of a subassembly stands after the part that it belongs to.
    pub parts: Vec<Part>,
    /// Products.
    pub products: Vec<Product>,
    /// Cleaners and sanitisers.
    pub solutions: Vec<Solution>,
    /// Sinks.
    pub sinks: Vec<Sink>,
    /// The author's own facts.
    pub facts: Vec<Fact>,
    /// How parts are washed.
    pub journey: Journey,
}

/// Where people stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Its name.
    pub named: Named,
}

/// A way between two places, in either direction.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// One end.
    pub from: PlaceId,
    /// The other.
    pub to: PlaceId,
    /// How long it takes.
    pub time: Time,
}

/// A switch with named positions.
#[derive(Debug, Clone, PartialEq)]
pub struct Switch {
    /// Its name.
    pub named: Named,
    /// Positions, at least two.
    pub positions: Vec<Named>,
    /// Position before the closing: index into `positions`.
    pub starts: usize,
    /// Position in which hands may go in, and in which the closing leaves it.
    pub safe: usize,
    /// What it does in which positions.
    pub roles: Vec<SwitchRole>,
}

/// What a switch does while it is in one of some positions (indexes into [`Switch::positions`]).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SwitchRole {
    /// A part moves.
    Moves(PartId, Vec<usize>),
    /// A vessel is kept cold.
    Cools(VesselId, Vec<usize>),
    /// A part is electrically live, or so hot that water on it harms.
    LivePart(PartId, Vec<usize>),
    /// A vessel's inside is live.
    LiveVessel(VesselId, Vec<usize>),
}

/// Anything that holds a liquid: barrel, reservoir, bucket, can.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// Its name.
    pub named: Named,
    /// The most that it holds.
    pub capacity: Volume,
    /// What it holds before the closing, and how much.
    pub holds: Option<(Liquid, Volume)>,
    /// Whether it can be under pressure; it is before the closing.
    pub pressure: bool,
    /// How many there are; kit is interchangeable, taken and given back.
    pub count: u32,
    /// Whether it is kit rather than part of the machine.
    pub kit: bool,
    /// Whether its inside is cleaned in place.
    pub in_place: bool,
    /// How long product may stay in it without cooling.
    pub out_of_cold: Option<Time>,
    /// Where it is.
    pub place: Option<PlaceId>,
}

/// A valve.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Valve {
    /// Its name.
    pub named: Named,
    /// The vessel that it lets out of.
    pub from: VesselId,
    /// The vessel that it lets into, if into one.
    pub to: Option<VesselId>,
    /// Whether it is open before the closing.
    pub open: bool,
}

/// A line or hose with ends that come off one at a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its name.
    pub named: Named,
    /// How many run side by side and are handled together.
    pub count: u32,
    /// Ends, at least one.
    pub ends: Vec<Named>,
    /// The end that has to come off first, if it matters: index into `ends`.
    pub first: Option<usize>,
    /// Whether it is under pressure before the closing.
    pub pressure: bool,
    /// Whether its inside is cleaned in place.
    pub in_place: bool,
}

/// What a part is made of; parts of different classes never share a sink load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Material {
    /// Plastic.
    Plastic,
    /// Metal.
    Metal,
    /// Rubber, silicone.
    Rubber,
    /// Plastic and metal in one piece; washed with the metal.
    Composite,
}

/// Whether a part or a seal is lubricated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lubricant {
    /// With this, before it is fitted.
    Kind(String),
    /// Never.
    Never,
}

/// Something to say before the hands act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What kind of harm.
    pub kind: CautionKind,
    /// The words.
    pub words: Words,
}

/// Kinds of harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CautionKind {
    /// Under pressure.
    Pressure,
    /// Moves or can start.
    Moving,
    /// Cuts.
    Sharp,
    /// Heavy.
    Heavy,
    /// Breaks when dropped.
    Fragile,
    /// A chemical.
    Chemical,
    /// Live.
    Electric,
    /// Hot.
    Hot,
    /// Slips, spills.
    Wet,
}

/// Where a seal sits: how many grooves, and which comes off first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Groove {
    /// Number of grooves.
    pub count: u32,
    /// Words for the order in which the seals come off.
    pub order: Option<String>,
}

/// A part, down to the last ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its name.
    pub named: Named,
    /// How many of it there are, handled together.
    pub count: u32,
    /// What it is made of.
    pub material: Material,
    /// Whether product touches it.
    pub food_contact: bool,
    /// Whether it cuts.
    pub sharp: bool,
    /// Its weight, where that matters.
    pub weight: Option<Mass>,
    /// The room that it takes in a sink, all of its count together.
    pub room: Volume,
    /// The brush that it is washed with.
    pub brush: Option<String>,
    /// Its slot on the tray.
    pub slot: Option<String>,
    /// How long it lasts.
    pub lasts: Option<Time>,
    /// How long it soaks before it is washed.
    pub soak: Option<Time>,
    /// Whether and with what it is lubricated.
    pub lubricant: Option<Lubricant>,
    /// Parts that must be off before this comes off.
    pub behind: Vec<PartId>,
    /// Parts (pins, nuts, clips) that hold it and must be off before it comes off.
    pub held_by: Vec<PartId>,
    /// The vessels that it closes: with this part off, they stand open.
    pub closes: Vec<VesselId>,
    /// The part that this belongs to: a seal on it or a piece of its subassembly.
    pub of: Option<PartId>,
    /// Where a seal sits.
    pub grooves: Option<Groove>,
    /// What to beware of.
    pub cautions: Vec<Caution>,
    /// Where it is on the machine.
    pub place: Option<PlaceId>,
    /// A picture, by file name.
    pub photo: Option<String>,
}

/// Something that is sold to eat or drink.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Its name.
    pub named: Named,
    /// The warmest that it may be held.
    pub keep_below: Option<Temperature>,
}

/// What a solution is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SolutionKind {
    /// Takes off soil.
    Cleaner,
    /// Kills what is left.
    Sanitiser,
}

/// The product from the bottle that a solution is mixed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// What the bottle is called in this kitchen.
    pub name: String,
    /// Available active substance, per cent by weight; 0 to 100.
    pub available_percent: f64,
    /// Density in kg/L.
    pub density_kg_l: f64,
}

/// A recipe for a cleaner or sanitiser.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// Its name.
    pub named: Named,
    /// What it is for.
    pub kind: SolutionKind,
    /// The active substance, in plain words.
    pub active: Option<String>,
    /// The strength that it should have.
    pub target: Option<Between<StrengthUnit>>,
    /// How long it has to stand.
    pub contact: Option<Time>,
    /// How long it stays good.
    pub lasts: Option<Time>,
    /// How much is mixed at a time.
    pub batch: Option<Volume>,
    /// What it is mixed from.
    pub stock: Option<Stock>,
    /// Names of substances and solutions that it must never meet.
    pub never_meets: Vec<String>,
}

/// A sink bay in which parts are washed, rinsed or sanitised.
#[derive(Debug, Clone, PartialEq)]
pub struct Sink {
    /// Its name.
    pub named: Named,
    /// How much fits in a load.
    pub room: Volume,
    /// Where it is.
    pub place: Option<PlaceId>,
}

/// A fact of the author's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// Its name.
    pub named: Named,
    /// Its values, at least two.
    pub values: Vec<Named>,
    /// Value at the start: index into `values`.
    pub starts: usize,
}

/// How parts are washed: work for each part (equal ones are a handful), and which solutions.
#[derive(Debug, Clone, PartialEq)]
pub struct Journey {
    /// Pre-rinse and wash, for each part.
    pub wash: Time,
    /// Rinse, for each part.
    pub rinse: Time,
    /// Into and out of the sanitiser, for each part.
    pub dip: Time,
    /// Into its slot, for each part.
    pub lay_out: Time,
    /// The cleaner, if the machine has one.
    pub cleaner: Option<SolutionId>,
    /// The sanitiser, if the machine has one.
    pub sanitiser: Option<SolutionId>,
}

impl Default for Journey {
    /// Seconds a part. Source: common practice, no source; the record teaches better ones.
    fn default() -> Self {
        let seconds = |value| Time::new(value, TimeUnit::Second);
        Self {
            wash: seconds(20.0),
            rinse: seconds(6.0),
            dip: seconds(4.0),
            lay_out: seconds(5.0),
            cleaner: None,
            sanitiser: None,
        }
    }
}

/// What can be in a vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Liquid {
    /// Clean water.
    Water,
    /// A product.
    Product(ProductId),
    /// A cleaner or sanitiser.
    Solution(SolutionId),
    /// Anything else, to be thrown away.
    Waste,
}
