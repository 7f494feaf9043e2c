//! What can have happened: the closed set.
//!
//! A new kind of fact, or a new field, is a new version with an upcast of the old one and a fixture of it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Fact {
    // ---- the run
    /// A closing or an opening began. The event's id is the run's name from now on.
    RunOpened {
        /// The procedure's name in the machine files.
        procedure: String,
        /// The machines that take part, exactly as they were proved.
        machines: Vec<Installed>,
        /// Who is here.
        people: Vec<String>,
        /// When it should end, milliseconds since 1970.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        out_by_ms: Option<i64>,
    },
    /// An event of the machine's core form happened: a step began or ended, a look was answered.
    Happened {
        /// The event's name in the core form.
        event: String,
    },
    /// It happened differently: an event out of its turn, or a state that no event made.
    Differed {
        /// The event that happened although it might not, if it was one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        event: Option<String>,
        /// Variables as they were found, by name; the value's number.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        found: BTreeMap<String, i32>,
        /// Why, in the person's words.
        because: String,
    },
    /// An earlier event is to count as not having happened: a slip of the finger, or a conflict that was settled.
    Corrected {
        /// The id of the event.
        of: String,
        /// Why.
        because: String,
    },
    /// A timer was started at the sink.
    TimerStarted {
        /// What it times: the name of a core form's event, or free words.
        timer: String,
        /// How long, seconds.
        seconds: u32,
    },
    /// A timer was stopped or rang and was heard.
    TimerStopped {
        /// As it was started.
        timer: String,
    },
    /// Somebody came to a run.
    PersonJoined {
        /// Who.
        who: String,
    },
    /// Somebody left a run.
    PersonLeft {
        /// Who.
        who: String,
    },
    /// Signed: the person of the event stands for it.
    Signed {
        /// As what.
        r#as: SignedAs,
    },

    // ---- parts
    /// A part lies in its slot of the tray.
    PartSeen {
        /// The part.
        part: PartRef,
        /// The slot.
        slot: String,
    },
    /// A part reached a stage of its journey.
    PartMoved {
        /// The part.
        part: PartRef,
        /// How far it is.
        to: Journey,
    },
    /// A part is not to be found.
    PartMissing {
        /// The part.
        part: PartRef,
        /// Where it was seen last, if anybody knows.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        last_seen: Option<String>,
    },
    /// A missing part was found.
    PartFound {
        /// The part.
        part: PartRef,
        /// Where.
        place: String,
    },
    /// A part was looked at before it was fitted.
    PartInspected {
        /// The part.
        part: PartRef,
        /// Whether it may go in.
        good: bool,
        /// Whether it was lubricated.
        lubricated: bool,
        /// What was seen.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    },
    /// A spare took a part's place.
    PartReplaced {
        /// The part.
        part: PartRef,
        /// Whether the old one had failed (else it was changed by plan, or lost).
        failed: bool,
        /// The spare's supplier lot.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        supplier_lot: Option<String>,
    },

    // ---- readings, notes, faults
    /// Something was measured.
    Reading {
        /// What, as the machine file's `measure` says it, or a probe's name.
        of: String,
        /// The value, in `unit`.
        value: f64,
        /// The unit as it was read: `°C`, `°F`, `mg/L`, `ppm`, `%`, `°Bx`, `RLU`.
        unit: String,
        /// The limit that held then, as it was shown, such as `100..200 mg/L` or `< 5 °C`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        within: Option<String>,
        /// Whether it was within; `None` where there was no limit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        good: Option<bool>,
        /// Where it came from.
        source: ReadingSource,
    },
    /// How a probe went over a stretch of time: every reading that came counts, those too that were not kept one by
    /// one.
    ProbeWatched {
        /// The probe, as its readings say it.
        of: String,
        /// The unit of the figures.
        unit: String,
        /// Where the stretch begins, milliseconds since 1970.
        from_ms: i64,
        /// Where it ends.
        to_ms: i64,
        /// Readings that came.
        came: u32,
        /// Those of them that stand in the record one by one.
        kept: u32,
        /// The lowest of all that came; `None` where none came.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lowest: Option<f64>,
        /// The highest of all that came.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        highest: Option<f64>,
        /// The mean of all that came.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        mean: Option<f64>,
        /// What came and was no reading: how many, by the code that says why.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        refused: BTreeMap<String, u32>,
    },
    /// A probe asks for somebody; the event's id names the alarm.
    AlarmRaised {
        /// The probe, as its readings say it.
        of: String,
        /// Why.
        alarm: Alarm,
        /// The value that raised it, in `unit`; `None` where there was none.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        value: Option<f64>,
        /// The unit.
        unit: String,
        /// The limit that held then, as it was shown.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        within: Option<String>,
        /// By when somebody has to look, milliseconds since 1970.
        by_ms: i64,
    },
    /// What raised an alarm is over.
    AlarmEnded {
        /// The id of the event that raised it.
        of: String,
    },
    /// The person of the event has seen an alarm.
    AlarmAcknowledged {
        /// The id of the event that raised it.
        of: String,
        /// What was found and done.
        text: String,
    },
    /// Words.
    Note {
        /// The words.
        text: String,
    },
    /// A picture was taken; its bytes lie beside the record.
    Photo {
        /// SHA-256 of its bytes, lower case hex.
        sha256: String,
        /// Its media type.
        media: String,
    },
    /// Something is wrong with the machine; the event's id names the fault.
    FaultOpened {
        /// What.
        text: String,
    },
    /// A fault was mended.
    FaultClosed {
        /// The id of the event that opened it.
        of: String,
        /// What was done.
        text: String,
    },

    // ---- lots
    /// A lot came in, or was made.
    LotReceived {
        /// The lot's name, unique in the kitchen.
        lot: String,
        /// What it is.
        product: String,
        /// How much, litres.
        litres: f64,
        /// Where it came from.
        origin: LotOrigin,
        /// Its use-by date, `YYYY-MM-DD`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        use_by: Option<String>,
    },
    /// A lot's pack was opened.
    LotOpened {
        /// The lot.
        lot: String,
        /// Why that matters.
        reason: OpenReason,
    },
    /// Product went from one lot or vessel into another: an edge of its genealogy.
    Blended {
        /// From: a lot, or a vessel as `machine/vessel`.
        from: String,
        /// Into: likewise; a lot that does not exist yet begins with this.
        into: String,
        /// How much, litres.
        litres: f64,
    },
    /// Product was served out of a vessel.
    Served {
        /// The vessel, as `machine/vessel`.
        from: String,
        /// How much, litres.
        litres: f64,
    },
    /// A lot was put somewhere.
    Stored {
        /// The lot.
        lot: String,
        /// Where.
        place: String,
    },
    /// Product was thrown away.
    Discarded {
        /// A lot, or a vessel as `machine/vessel`.
        lot: String,
        /// How much, litres; `None`: all that was left.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        litres: Option<f64>,
        /// Why.
        because: String,
    },
    /// A lot was called back.
    Recalled {
        /// The lot.
        lot: String,
        /// Why.
        because: String,
    },

    // ---- release
    /// The machine may serve: the reasons were all good, or overridden.
    Released {
        /// The procedure's run whose end is released.
        of_run: String,
    },
    /// The machine may not serve.
    Refused {
        /// Codes of the reasons.
        reasons: Vec<String>,
    },
    /// Somebody who may do so sets a reason aside, visibly.
    Overridden {
        /// The reason's code, with its subject.
        reason: String,
        /// Why.
        because: String,
    },

    // ---- people
    /// Somebody works here.
    PersonAdded {
        /// Their name, unique in the kitchen.
        who: String,
        /// What they may do.
        roles: Vec<Role>,
        /// The language that they read.
        language: String,
    },
    /// What somebody may do has changed.
    RolesChanged {
        /// Who.
        who: String,
        /// All their roles from now on; empty: none any more.
        roles: Vec<Role>,
    },
    /// Somebody learnt something.
    Trained {
        /// Who.
        who: String,
        /// The skill, by its name in the kitchen file, or a step's name.
        skill: String,
        /// How.
        how: Training,
    },
    /// A practice session ended.
    Practised {
        /// Who, on what, how well.
        session: Practice,
    },
    /// Somebody's step lengths are no longer to be used, and no longer to be told from others'.
    LengthsErased {
        /// Who.
        who: String,
    },
}

/// A machine of a run, exactly as it was proved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Installed {
    /// What the kitchen calls it.
    pub machine: String,
    /// SHA-256 of its machine file, lower case hex.
    pub file_sha256: String,
    /// Options that are fitted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fitted: Vec<String>,
    /// Whether what is due by calendar is due.
    pub due: bool,
    /// The wash loads, each a list of parts.
    pub loads: Vec<Vec<PartRef>>,
}

/// One part of a machine.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartRef {
    /// Its name in the machine file.
    pub part: String,
    /// Its side, if it belongs to one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<String>,
    /// Which of several equal ones, from 1; `None` where there is one, or all of them are meant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<u32>,
}

/// How far a part is between two nights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Journey {
    /// Off the machine.
    Off,
    /// Washed.
    Washed,
    /// Rinsed.
    Rinsed,
    /// Sanitised.
    Sanitised,
    /// Laid out to dry.
    LaidOut,
    /// Fitted.
    Fitted,
}

/// As what somebody signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SignedAs {
    /// The closing is done.
    Closer,
    /// The opening is done.
    Opener,
    /// The night or the release is in order.
    Lead,
    /// Watched somebody who may not do it alone.
    Watcher,
}

/// Where a reading came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingSource {
    /// Typed in.
    Hand,
    /// Sent by a probe.
    Probe,
    /// Read from a logger's file.
    File,
}

/// Why a probe asks for somebody, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Alarm {
    /// A reading is outside its limit.
    Outside,
    /// Nothing has come for longer than was promised: nobody knows.
    Silent,
    /// By its present slope the limit is met soon.
    Nearing,
    /// A reading is beyond the level that warns before the limit.
    Close,
    /// It is within its limit, but not as it used to be.
    Drifting,
}

/// Where a lot came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LotOrigin {
    /// Delivered.
    Delivered,
    /// Made here.
    Made,
    /// Kept from a machine.
    Rerun,
}

/// Why a lot's opening is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OpenReason {
    /// Its pack was opened: its days begin.
    Pack,
    /// It was thawed.
    Thawed,
}

/// What somebody may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Closes.
    Closer,
    /// Opens.
    Opener,
    /// Plans, releases, answers.
    Lead,
    /// Writes procedures, teaches.
    Trainer,
    /// Reads only.
    Inspector,
}

/// How something was learnt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Training {
    /// Done once under somebody's eyes.
    UnderWatch,
    /// Said by a trainer to be able to.
    Confirmed,
    /// No longer.
    Withdrawn,
}

/// How a practice session went.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Practice {
    /// Who practised.
    pub who: String,
    /// The procedure.
    pub procedure: String,
    /// Moves that were made.
    pub moves: u32,
    /// Names of the steps that were tried at a wrong time, and how often.
    pub slips: BTreeMap<String, u32>,
    /// Whether it was passed.
    pub passed: bool,
}
