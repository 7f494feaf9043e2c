//! Every word of the language in one table: where it stands, what it takes, what it means, and an example.
//!
//! The table is the only place that knows the grammar: the reader checks files against it, the reference page is
//! printed from it, and a test walks it to show that each example is accepted.

/// What a value must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// A new name, unique among the items of the machine.
    NewName,
    /// The name of something declared elsewhere; the text says of what.
    Name(&'static str),
    /// Words for people.
    Text,
    /// A language code and then words for people; the code may be left out for the first language.
    LanguageText,
    /// A language code.
    Language,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A whole number in this range.
    Count(u32, u32),
    /// A number, such as a percentage or a density; the text says of what.
    Number(&'static str),
    /// A volume, such as `7 L`.
    Volume,
    /// A mass, such as `6 kg`.
    Mass,
    /// A length of time, such as `90 s`.
    Time,
    /// A temperature, such as `5 °C`.
    Temperature,
    /// A range of strengths, such as `100..200 mg/L`.
    Strengths,
    /// A time of day, such as `22:30`.
    Clock,
    /// Limits of a reading with their unit, such as `100..200 mg/L` or `< 5 °C`.
    Limits,
}

/// A property: `name=value`. A property whose value is a name may also stand as a child node with several names.
#[derive(Debug, Clone, Copy)]
pub struct Property {
    /// Its name.
    pub name: &'static str,
    /// What its value must be.
    pub takes: Takes,
    /// Whether it may not be left out.
    pub required: bool,
    /// What it means.
    pub means: &'static str,
}

/// A node: `name arguments flags properties { children }`.
#[derive(Debug, Clone, Copy)]
pub struct Word {
    /// Its name.
    pub name: &'static str,
    /// The nodes that it may stand in; `file` is the top.
    pub inside: &'static [&'static str],
    /// What its arguments must be, in order.
    pub arguments: &'static [Takes],
    /// The last kind of argument may be given any number of times.
    pub repeats: bool,
    /// Words that may stand after the arguments.
    pub flags: &'static [(&'static str, &'static str)],
    /// Its properties.
    pub properties: &'static [Property],
    /// What it means.
    pub means: &'static str,
    /// One correct use.
    pub example: &'static str,
}

const fn must(name: &'static str, takes: Takes, means: &'static str) -> Property {
    Property { name, takes, required: true, means }
}

const fn may(name: &'static str, takes: Takes, means: &'static str) -> Property {
    Property { name, takes, required: false, means }
}

const PER: Property = may("per", Takes::Word(&["side"]), "`side`: it exists once on each side");
const IF: Property = may("if", Takes::Name("option"), "it exists only where this option is fitted");
const AT: Property = may("at", Takes::Name("place"), "where it is, or where the step is done");
const SIDE: Property =
    may("side", Takes::Name("side"), "which side's item is meant; inside `each-side`, a bare name means this side's");

const STEP_LIKE: &[&str] = &["step", "finds"];
const ITEMS: &[&str] = &[
    "machine", "side", "option", "place", "switch", "position", "vessel", "valve", "line", "end", "part", "piece",
    "seal", "product", "solution", "sink", "fact", "value", "step", "finds", "never", "kitchen", "person", "skill",
    "kit",
];

const PART_PROPERTIES: &[Property] = &[
    PER,
    IF,
    AT,
    may("count", Takes::Count(1, 99), "how many there are, handled together (1 if left out)"),
    must("material", Takes::Word(&["plastic", "metal", "rubber", "composite"]), "what it is made of; different classes never share a sink load"),
    may("slot", Takes::Text, "its slot on the tray"),
    may("room", Takes::Volume, "the room that all of it takes in a sink (0.2 L if left out)"),
    may("weight", Takes::Mass, "its weight, where that matters"),
    may("brush", Takes::Text, "the brush that it is washed with"),
    may("soak", Takes::Time, "how long it soaks before it is washed"),
    may("lasts", Takes::Time, "how long it may stay in use"),
    may("lubricant", Takes::Text, "what it is lubricated with before it is fitted; `never` where it must stay dry"),
    may("behind", Takes::Name("part"), "parts that must be off before this comes off"),
    may("held-by", Takes::Name("part"), "pins, nuts and clips that must be off before this comes off"),
    may("closes", Takes::Name("vessel"), "the vessel that this part closes: it stands open while this part is off"),
    may("photo", Takes::Text, "file name of a picture beside the machine file"),
];
const PART_FLAGS: &[(&str, &str)] = &[("food-contact", "product touches it"), ("sharp", "it cuts: never loose in a sink with other parts")];

/// Every word, in the order of the reference page.
pub const WORDS: &[Word] = &[
    Word { name: "fulltray", inside: &["file"], arguments: &[Takes::Count(1, 1)], repeats: false, flags: &[], properties: &[],
        means: "The version of the language; the first node of every file.", example: "fulltray 1" },
    Word { name: "machine", inside: &["file"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A machine model: everything that it is made of.", example: "machine \"twin-shake\" {\n    title \"Two-barrel shake freezer\"\n}" },
    Word { name: "title", inside: &["machine", "kitchen"], arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[],
        means: "What people call it.", example: "title \"Two-barrel shake freezer\"" },
    Word { name: "languages", inside: &["machine", "kitchen"], arguments: &[Takes::Language], repeats: true, flags: &[], properties: &[],
        means: "The languages in which the crew reads; the first is the one of texts without a code. A text that lacks one of them is a warning.", example: "languages \"en\" \"es\"" },
    Word { name: "label", inside: ITEMS, arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[],
        means: "The name that people read in a language; without one for the first language, the item's own name.", example: "label es \"puerta\"" },
    Word { name: "side", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A side of the machine. What is declared `per=\"side\"` exists once on each.", example: "side \"left\" { label es \"izquierda\"; }" },
    Word { name: "option", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A variant of the machine that may be fitted or not; every combination is proved.", example: "option \"fourth flavour\"" },
    Word { name: "place", inside: &["machine", "kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "Where people stand.", example: "place \"front\"" },
    Word { name: "walk", inside: &["machine", "kitchen"], arguments: &[Takes::Name("place"), Takes::Name("place"), Takes::Time], repeats: false, flags: &[], properties: &[],
        means: "The way between two places, in either direction. Where none is given, the shortest way over others counts.", example: "walk \"front\" \"sink\" \"20 s\"" },
    Word { name: "product", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[may("keep-below", Takes::Temperature, "the warmest that it may be held; local code comes first")],
        means: "Something that is sold to eat or drink.", example: "product \"mix\" keep-below=\"5 °C\"" },
    Word { name: "solution", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[
            must("kind", Takes::Word(&["cleaner", "sanitiser"]), "what it is for"),
            may("active", Takes::Text, "the active substance"),
            may("target", Takes::Strengths, "the strength that it should have; the label and the strip decide"),
            may("contact", Takes::Time, "how long it has to stand to do its work"),
            may("lasts", Takes::Time, "how long it stays good"),
            may("batch", Takes::Volume, "how much is mixed at a time"),
        ],
        means: "A cleaner or a sanitiser, and how it is mixed.", example: "solution \"sanitiser\" kind=\"sanitiser\" active=\"available chlorine\" target=\"100..200 mg/L\" contact=\"60 s\" lasts=\"2 h\"" },
    Word { name: "stock", inside: &["solution"], arguments: &[Takes::Text], repeats: false, flags: &[],
        properties: &[
            must("available", Takes::Number("per cent by weight"), "available active substance in per cent by weight, from the label"),
            may("density", Takes::Number("kg/L"), "density in kg/L, from the label (1 if left out)"),
        ],
        means: "What the solution is mixed from.", example: "stock \"chlorine concentrate\" available=5.0 density=1.08" },
    Word { name: "never-meets", inside: &["solution"], arguments: &[Takes::Text], repeats: true, flags: &[], properties: &[],
        means: "Substances and solutions that it must never meet (H6).", example: "never-meets \"acid\" \"ammonia\"" },
    Word { name: "switch", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[PER, IF, must("starts", Takes::Name("position"), "its position before the closing"),
            must("safe", Takes::Name("position"), "the position in which hands may go in, and in which the closing leaves it")],
        means: "A switch with two or more positions.", example: "switch \"drive\" per=\"side\" starts=\"run\" safe=\"off\" {\n    position \"run\"\n    position \"off\"\n    moves \"beater\" at=\"run\"\n}" },
    Word { name: "position", inside: &["switch"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A position of the switch.", example: "position \"off\" { label es \"apagado\"; }" },
    Word { name: "moves", inside: &["switch"], arguments: &[Takes::Name("part")], repeats: true, flags: &[],
        properties: &[may("at", Takes::Name("position"), "the position, or a child node `at` with several")],
        means: "Parts that move while the switch is in this position (H3).", example: "moves \"beater\" at=\"run\"" },
    Word { name: "cools", inside: &["switch"], arguments: &[Takes::Name("vessel")], repeats: true, flags: &[],
        properties: &[may("at", Takes::Name("position"), "the position, or a child node `at` with several")],
        means: "Vessels that are kept cold while the switch is in this position (H12).", example: "cools \"reservoir\" at=\"on\"" },
    Word { name: "live", inside: &["switch"], arguments: &[Takes::Name("part or vessel")], repeats: true, flags: &[],
        properties: &[may("at", Takes::Name("position"), "the position, or a child node `at` with several")],
        means: "Things that must not get wet while the switch is in this position (H11).", example: "live \"heater plate\" at=\"on\"" },
    Word { name: "vessel", inside: &["machine"], arguments: &[Takes::NewName], repeats: false,
        flags: &[("kit", "it is kit, not part of the machine: taken and given back, interchangeable"), ("clean-in-place", "its inside stays in the machine and is cleaned there")],
        properties: &[PER, IF, AT, must("capacity", Takes::Volume, "the most that it holds (H4)"),
            may("count", Takes::Count(1, 20), "how many there are (1 if left out)"),
            may("holds", Takes::Name("liquid"), "what is in it before the closing"),
            may("amount", Takes::Volume, "how much is in it before the closing (full if left out)"),
            may("pressure", Takes::Text, "where its pressure comes from: it is under pressure before the closing (H1)"),
            may("out-of-cold", Takes::Time, "how long product may stay in it without cooling (H12); not at all if left out")],
        means: "Anything that holds a liquid: barrel, reservoir, bucket, can.", example: "vessel \"barrel\" clean-in-place per=\"side\" capacity=\"7 L\" holds=\"mix\" amount=\"5 L\" pressure=\"pump\"" },
    Word { name: "valve", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[PER, IF, must("from", Takes::Name("vessel"), "the vessel that it lets out of"), may("to", Takes::Name("vessel"), "the vessel that it lets into"),
            may("starts", Takes::Word(&["open", "shut"]), "how it stands before the closing (shut if left out)")],
        means: "A valve, open or shut.", example: "valve \"draw\" per=\"side\" from=\"barrel\"" },
    Word { name: "line", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[("clean-in-place", "its inside stays in the machine and is cleaned there")],
        properties: &[PER, IF, may("count", Takes::Count(1, 99), "how many run side by side and are handled together"),
            may("first", Takes::Name("end"), "the end that must come off first, because the others spray (H1)"),
            may("pressure", Takes::Text, "where its pressure comes from: it is under pressure before the closing (H1)")],
        means: "A line or a hose. Its ends come off one at a time.", example: "line \"syrup line\" count=4 first=\"door\" {\n    end \"door\"\n    end \"source\"\n}" },
    Word { name: "end", inside: &["line"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "An end of the line.", example: "end \"door\" { label es \"puerta\"; }" },
    Word { name: "part", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: PART_FLAGS, properties: PART_PROPERTIES,
        means: "A part that comes off the machine, pins and nuts too.", example: "part \"door\" food-contact per=\"side\" material=\"plastic\" slot=\"B1\" closes=\"barrel\" {\n    behind \"draw handle\" \"spinner\"\n}" },
    Word { name: "piece", inside: &["part"], arguments: &[Takes::NewName], repeats: false, flags: PART_FLAGS, properties: PART_PROPERTIES,
        means: "A piece of a part that comes off when the part is taken apart.", example: "piece \"piston\" food-contact material=\"plastic\"" },
    Word { name: "seal", inside: &["part", "piece"], arguments: &[Takes::NewName], repeats: false, flags: PART_FLAGS,
        properties: &[
            may("count", Takes::Count(1, 99), "how many there are (as many as grooves if left out)"),
            may("grooves", Takes::Count(1, 99), "in how many grooves they sit (1 if left out)"),
            may("remove", Takes::Text, "the order in which they come off, so that none drops into an empty groove"),
            may("lubricant", Takes::Text, "what it is lubricated with before it is fitted; `never` where it must stay dry (H13)"),
            may("lasts", Takes::Time, "how long it may stay in use"),
            may("slot", Takes::Text, "its slot on the tray"),
            may("room", Takes::Volume, "the room that all of it takes in a sink (0.05 L if left out)"),
            may("brush", Takes::Text, "the brush that it is washed with"),
            IF,
        ],
        means: "A ring or gasket on the part; it comes off when the part is taken apart (H13). Rubber.", example: "seal \"door ring\" grooves=1 lubricant=\"food grade\" lasts=\"90 days\"" },
    Word { name: "behind", inside: &["part", "piece"], arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[],
        means: "Parts that must be off before this comes off: the hands cannot do it otherwise (H2).", example: "behind \"draw handle\" \"spinner\"" },
    Word { name: "held-by", inside: &["part", "piece"], arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[],
        means: "Pins, nuts and clips that must be off before this comes off (H2).", example: "held-by \"door nut\"" },
    Word { name: "caution", inside: &["part", "piece", "step"], arguments: &[Takes::Word(&["pressure", "moving", "sharp", "heavy", "fragile", "chemical", "electric", "hot", "wet"]), Takes::LanguageText], repeats: false, flags: &[], properties: &[],
        means: "What to beware of, shown before the action.", example: "caution sharp \"The blade cuts: hold it by the back.\"" },
    Word { name: "sink", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[AT, must("room", Takes::Volume, "how much fits in a load")],
        means: "A sink in which parts are washed, load by load (H9).", example: "sink \"wash sink\" at=\"sink\" room=\"24 L\"" },
    Word { name: "fact", inside: &["machine"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[PER, must("starts", Takes::Name("value"), "its value at the start")],
        means: "A fact of your own, where no statement fits.", example: "fact \"hopper covered\" starts=\"no\" {\n    value \"no\"\n    value \"yes\"\n}" },
    Word { name: "value", inside: &["fact"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A value of the fact.", example: "value \"yes\" { label es \"sí\"; }" },
    Word { name: "journey", inside: &["machine"], arguments: &[], repeats: false, flags: &[],
        properties: &[
            may("wash", Takes::Time, "pre-rinse and wash, for each piece (20 s if left out)"),
            may("rinse", Takes::Time, "rinse, for each piece (6 s if left out)"),
            may("dip", Takes::Time, "into and out of the sanitiser, for each piece (4 s if left out)"),
            may("lay-out", Takes::Time, "into its slot, for each piece (5 s if left out)"),
            may("cleaner", Takes::Name("solution"), "the cleaner (the first one declared if left out)"),
            may("sanitiser", Takes::Name("solution"), "the sanitiser (the first one declared if left out)"),
        ],
        means: "How parts are washed: pre-rinse, soak, wash, rinse, sanitise for the contact time, air-dry in the slot. The loads are worked out from the parts.", example: "journey wash=\"25 s\" rinse=\"6 s\"" },
    // Procedures.
    Word { name: "procedure", inside: &["file"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[
            may("order", Takes::Word(&["card", "free"]), "`card`: each side's steps are done in the order written, sides beside each other (so if left out); `free`: only `after` counts"),
            may("from", Takes::Name("procedure"), "begins as the mirror image of that procedure's take-down, seals and lubricant included"),
        ],
        means: "Steps for a purpose: `closing`, `opening`, `weekly` or a name of your own.", example: "procedure \"opening\" from=\"closing\"" },
    Word { name: "without", inside: &["procedure"], arguments: &[Takes::Text], repeats: true, flags: &[], properties: &[],
        means: "Titles of mirrored steps to leave out, because you write them yourself.", example: "without \"Fit the door\"" },
    Word { name: "serving", inside: &["procedure"], arguments: &[], repeats: false, flags: &[],
        properties: &[must("until", Takes::Clock, "the time of day"), must("sides", Takes::Count(1, 9), "how many sides stay in service up to then")],
        means: "Keeps sides in service; the rest may be closed early.", example: "serving until=\"22:30\" sides=1" },
    Word { name: "step", inside: &["procedure"], arguments: &[Takes::NewName], repeats: false, flags: &[("each-side", "done once for each side; inside, a bare name means this side's")],
        properties: &[AT, IF, may("time", Takes::Time, "how long hands are busy at its beginning (30 s if left out); the record teaches better"),
            may("people", Takes::Count(1, 4), "how many people's hands it needs (1 if left out)"),
            may("skill", Takes::Text, "the skill that it needs"),
            may("uses", Takes::Name("kit"), "kit held from its begin to its end"),
            may("every", Takes::Word(&["week"]), "due by calendar only"),
            may("on", Takes::Word(&["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]), "the day on which it is due"),
            may("photo", Takes::Text, "file name of a picture")],
        means: "One step on the card: words for the crew, and what happens, in order.", example: "step \"Door off\" each-side at=\"front\" time=\"1 min\" {\n    say \"Both hands.\"\n    take-off \"door\"\n}" },
    Word { name: "say", inside: STEP_LIKE, arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[],
        means: "The words for the crew.", example: "say es \"Con las dos manos.\"" },
    Word { name: "uses", inside: &["step"], arguments: &[Takes::Name("kit")], repeats: true, flags: &[], properties: &[],
        means: "Kit held from the step's begin to its end.", example: "uses \"bucket\" \"hose\"" },
    Word { name: "after", inside: &["step"], arguments: &[Takes::Name("step")], repeats: false, flags: &[],
        properties: &[may("because", Takes::Text, "the reason; in further languages as child nodes")],
        means: "An order that you want though the machine does not force it.", example: "after \"Stop the drive\" because=\"The house wants it so.\"" },
    Word { name: "because", inside: &["after"], arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[],
        means: "The reason for an asked order.", example: "because es \"Así lo quiere la casa.\"" },
    Word { name: "never", inside: &["procedure"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A hazard of your own: what its conditions say must never hold together.", example: "never \"Door off while the drive can start\" {\n    when \"door\" is=\"off\"\n    and \"drive\" is-not=\"off\"\n}" },
    Word { name: "when", inside: &["never", "goal"], arguments: &[Takes::Name("item")], repeats: false, flags: &[],
        properties: &[may("is", Takes::Text, "what must hold: a switch position, `open`, `shut`, `on`, `off`, `sanitised`, `empty`, `under pressure`, `connected`, a liquid, a value"), may("is-not", Takes::Text, "what must not hold"), may("end", Takes::Name("end"), "which end of a line"), SIDE],
        means: "A condition.", example: "when \"door\" is=\"off\"" },
    Word { name: "and", inside: &["never", "goal"], arguments: &[Takes::Name("item")], repeats: false, flags: &[],
        properties: &[may("is", Takes::Text, "as in `when`"), may("is-not", Takes::Text, "as in `when`"), may("end", Takes::Name("end"), "which end of a line"), SIDE],
        means: "A further condition; all must hold together.", example: "and \"drive\" is-not=\"off\"" },
    Word { name: "goal", inside: &["procedure"], arguments: &[], repeats: false, flags: &[], properties: &[],
        means: "What must hold at the end, besides what the tool asks for by itself.", example: "goal { when \"drive\" is=\"run\"; }" },
    // Statements.
    Word { name: "switch", inside: STEP_LIKE, arguments: &[Takes::Name("switch")], repeats: false, flags: &[], properties: &[must("to", Takes::Name("position"), "the position"), SIDE],
        means: "Moves a switch.", example: "switch \"drive\" to=\"off\"" },
    Word { name: "open", inside: STEP_LIKE, arguments: &[Takes::Name("valve")], repeats: true, flags: &[], properties: &[SIDE], means: "Opens valves.", example: "open \"draw\"" },
    Word { name: "shut", inside: STEP_LIKE, arguments: &[Takes::Name("valve")], repeats: true, flags: &[], properties: &[SIDE], means: "Shuts valves.", example: "shut \"draw\"" },
    Word { name: "connect", inside: STEP_LIKE, arguments: &[Takes::Name("line")], repeats: false, flags: &[], properties: &[must("end", Takes::Name("end"), "which end"), SIDE],
        means: "Connects one end of a line.", example: "connect \"syrup line\" end=\"door\"" },
    Word { name: "disconnect", inside: STEP_LIKE, arguments: &[Takes::Name("line")], repeats: false, flags: &[], properties: &[must("end", Takes::Name("end"), "which end"), SIDE],
        means: "Disconnects one end of a line (H1).", example: "disconnect \"syrup line\" end=\"door\"" },
    Word { name: "take-off", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "Parts leave the machine, in this order (H1, H2).", example: "take-off \"draw handle\" \"door\"" },
    Word { name: "fit", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "Parts join the machine, in this order (H13).", example: "fit \"door\" \"draw handle\"" },
    Word { name: "take-apart", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "A part comes apart: its pieces and seals come off.", example: "take-apart \"pump\"" },
    Word { name: "put-together", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "A part is put together: its pieces and seals go on (H13).", example: "put-together \"pump\"" },
    Word { name: "fill", inside: STEP_LIKE, arguments: &[Takes::Name("vessel")], repeats: false, flags: &[],
        properties: &[must("with", Takes::Name("liquid"), "what goes in"), may("amount", Takes::Volume, "how much (as much as it holds if left out)"), SIDE],
        means: "A liquid goes into a vessel (H4, H5, H6).", example: "fill \"barrel\" with=\"sanitiser\" amount=\"7 L\"" },
    Word { name: "pour", inside: STEP_LIKE, arguments: &[Takes::Name("vessel")], repeats: false, flags: &[],
        properties: &[must("into", Takes::Name("vessel"), "where it goes"), may("amount", Takes::Volume, "how much (all of it if left out)"), SIDE],
        means: "A liquid goes from one vessel into another; volumes and kinds add up (H4, H5, H6).", example: "pour \"barrel\" into=\"bucket\"" },
    Word { name: "empty", inside: STEP_LIKE, arguments: &[Takes::Name("vessel")], repeats: false, flags: &[],
        properties: &[may("into", Takes::Name("vessel"), "where it goes"), may("to", Takes::Word(&["waste"]), "`waste`: down the drain (so if both are left out)"), SIDE],
        means: "A vessel is emptied (H8).", example: "empty \"barrel\" to=\"waste\"" },
    Word { name: "vent", inside: STEP_LIKE, arguments: &[Takes::Name("vessel or line")], repeats: true, flags: &[], properties: &[SIDE], means: "Pressure off.", example: "vent \"barrel\"" },
    Word { name: "charge", inside: STEP_LIKE, arguments: &[Takes::Name("vessel or line")], repeats: true, flags: &[], properties: &[SIDE], means: "Pressure on.", example: "charge \"barrel\"" },
    Word { name: "take", inside: STEP_LIKE, arguments: &[Takes::Name("kit")], repeats: true, flags: &[], properties: &[], means: "Kit is taken from the shelf and held across steps, until it is given back.", example: "take \"bucket\"" },
    Word { name: "give-back", inside: STEP_LIKE, arguments: &[Takes::Name("kit")], repeats: true, flags: &[], properties: &[], means: "Kit goes back; it must be empty.", example: "give-back \"bucket\"" },
    Word { name: "hang", inside: STEP_LIKE, arguments: &[Takes::Name("kit")], repeats: false, flags: &[], properties: &[must("at", Takes::Text, "where")], means: "Kit that was taken is hung or set down somewhere.", example: "hang \"bucket\" at=\"draw valve\"" },
    Word { name: "lift", inside: STEP_LIKE, arguments: &[Takes::Name("kit")], repeats: false, flags: &[], properties: &[], means: "Kit that hangs is lifted off.", example: "lift \"bucket\"" },
    Word { name: "run", inside: STEP_LIKE, arguments: &[Takes::Name("switch")], repeats: false, flags: &[("unattended", "the hands are free meanwhile")],
        properties: &[must("at", Takes::Name("position"), "the position while it runs; afterwards it goes back to its safe one"), must("for", Takes::Time, "how long"), may("then", Takes::Time, "how long hands are busy afterwards (10 s if left out)"), SIDE],
        means: "A machine cycle that goes on without a hand.", example: "run \"drive\" at=\"flush\" for=\"3 min\" unattended" },
    Word { name: "scrub", inside: STEP_LIKE, arguments: &[Takes::Name("vessel, line or part")], repeats: false, flags: &[],
        properties: &[may("with", Takes::Text, "the brush"), may("using", Takes::Name("solution"), "the cleaner"), SIDE],
        means: "What stays in is scrubbed with a cleaner (H7, H11).", example: "scrub \"hopper\" with=\"wide brush\" using=\"cleaner\"" },
    Word { name: "flush", inside: STEP_LIKE, arguments: &[Takes::Name("vessel or line")], repeats: false, flags: &[],
        properties: &[must("with", Takes::Name("liquid"), "water or a solution"), SIDE],
        means: "A circuit is flushed through; a sanitiser has to stand afterwards (`stand`) before it is drained (H7, H8, H11).", example: "flush \"mix line\" with=\"water\"" },
    Word { name: "stand", inside: STEP_LIKE, arguments: &[Takes::Name("vessel or line")], repeats: false, flags: &[("unattended", "the hands are free meanwhile")],
        properties: &[must("for", Takes::Time, "how long"), may("then", Takes::Time, "how long hands are busy afterwards (10 s if left out)"), SIDE],
        means: "What is in it is left to stand: the contact time (H8).", example: "stand \"barrel\" for=\"2 min\" unattended" },
    Word { name: "inspect", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: false, flags: &[], properties: &[may("for", Takes::Text, "what to look for"), SIDE], means: "A look at a part.", example: "inspect \"door\" for=\"cracks\"" },
    Word { name: "lubricate", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "Parts or seals are lubricated before they are fitted (H13).", example: "lubricate \"door ring\"" },
    Word { name: "replace", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "A part is exchanged for a spare, which is washed like the rest.", example: "replace \"door ring\"" },
    Word { name: "missing", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "A part is not to be found (H10): a spare or a search must follow.", example: "missing \"air tube\"" },
    Word { name: "measure", inside: STEP_LIKE, arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[must("within", Takes::Limits, "the limits")], means: "A reading with limits.", example: "measure \"Sanitiser strength\" within=\"100..200 mg/L\"" },
    Word { name: "look", inside: &["step"], arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[], means: "A question; what the person sees decides what follows. Every answer is proved.", example: "look \"Where is the air tube?\" {\n    finds \"in the reservoir\" { take-off \"air tube\"; }\n    finds \"in the soaking cup\" { say \"Rinse it.\"; }\n}" },
    Word { name: "ask", inside: &["look"], arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[], means: "The question in a further language.", example: "ask es \"¿Dónde está el tubo de aire?\"" },
    Word { name: "finds", inside: &["look"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[], means: "An answer, and what follows from it.", example: "finds \"in the reservoir\" { take-off \"air tube\"; }" },
    Word { name: "already-off", inside: &["finds"], arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[SIDE], means: "The part is found off the machine and joins the others for washing.", example: "already-off \"air tube\"" },
    Word { name: "store", inside: STEP_LIKE, arguments: &[Takes::Name("vessel")], repeats: false, flags: &[("label-lot", "a lot label goes on it")], properties: &[must("in", Takes::Text, "the can or place where it is kept"), SIDE], means: "Product is kept as a lot; the vessel is then empty.", example: "store \"bucket\" in=\"rerun can\" label-lot" },
    Word { name: "discard", inside: STEP_LIKE, arguments: &[Takes::Name("vessel")], repeats: false, flags: &[], properties: &[may("because", Takes::Text, "why"), SIDE], means: "What is in a vessel is thrown away.", example: "discard \"bucket\" because=\"Carry-over ends here.\"" },
    Word { name: "wait", inside: STEP_LIKE, arguments: &[], repeats: false, flags: &[("unattended", "the hands are free meanwhile")],
        properties: &[may("for", Takes::Time, "how long, at least"), may("until", Takes::Text, "what is waited for"), may("about", Takes::Time, "how long that takes, about"), may("then", Takes::Time, "how long hands are busy afterwards (10 s if left out)")],
        means: "Splits the step: what stands before takes effect when it begins, what stands after when it ends.", example: "wait until=\"nothing more runs out\" about=\"90 s\"" },
    Word { name: "until", inside: &["wait"], arguments: &[Takes::LanguageText], repeats: false, flags: &[], properties: &[], means: "What is waited for, in a further language.", example: "until es \"ya no salga nada\"" },
    Word { name: "needs", inside: STEP_LIKE, arguments: &[Takes::Name("item")], repeats: false, flags: &[],
        properties: &[may("is", Takes::Text, "as in `when`"), may("is-not", Takes::Text, "as in `when`"), may("end", Takes::Name("end"), "which end of a line"), SIDE],
        means: "The hands cannot do the step unless this holds.", example: "needs \"hopper covered\" is=\"yes\"" },
    Word { name: "set", inside: STEP_LIKE, arguments: &[Takes::Name("fact")], repeats: false, flags: &[], properties: &[must("to", Takes::Name("value"), "the value"), SIDE], means: "A fact of your own changes.", example: "set \"hopper covered\" to=\"yes\"" },
    Word { name: "wash", inside: STEP_LIKE, arguments: &[Takes::Name("part")], repeats: true, flags: &[], properties: &[may("in", Takes::Name("sink"), "the sink"), SIDE],
        means: "A wash load of your own instead of the ones that the tool works out (H9).", example: "wash \"door\" \"beater\" in=\"wash sink\"" },
    // Kitchens.
    Word { name: "kitchen", inside: &["file"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[],
        means: "A kitchen: its machines, crew, kit and hours.", example: "kitchen \"pier\" {\n    title \"An invented kiosk\"\n}" },
    Word { name: "skill", inside: &["kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[], means: "Something that a person has learnt and a step may need.", example: "skill \"blades\"" },
    Word { name: "person", inside: &["kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[("away", "not here tonight")],
        properties: &[may("from", Takes::Clock, "here from (the closing's begin if left out)"), may("until", Takes::Clock, "here until (no end if left out)"),
            may("pace", Takes::Number("times the usual time"), "how long steps take them: 1 is usual, 1.2 a fifth longer"), may("language", Takes::Language, "the language that they read")],
        means: "Somebody of tonight's crew.", example: "person \"Ana\" from=\"21:30\" until=\"23:30\" { can \"blades\"; }" },
    Word { name: "can", inside: &["person"], arguments: &[Takes::Name("skill")], repeats: true, flags: &[], properties: &[], means: "The skills that the person has.", example: "can \"blades\"" },
    Word { name: "closing", inside: &["kitchen"], arguments: &[], repeats: false, flags: &[],
        properties: &[must("from", Takes::Clock, "when work may begin"), may("out-by", Takes::Clock, "when everybody must be out"), may("on", Takes::Word(&["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]), "the day, for what is due by calendar")],
        means: "Tonight's hours.", example: "closing from=\"22:00\" out-by=\"23:45\" on=\"sunday\"" },
    Word { name: "machine", inside: &["kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[],
        properties: &[must("file", Takes::Text, "its machine file, beside the kitchen file"), may("fitted", Takes::Text, "an option that is fitted; several as a child node"), may("at", Takes::Name("place"), "where it stands; its own places are reached from there")],
        means: "A machine that stands in this kitchen.", example: "machine \"shake freezer\" file=\"twin-shake.machine.kdl\"" },
    Word { name: "fitted", inside: &["machine"], arguments: &[Takes::Text], repeats: true, flags: &[], properties: &[], means: "Options that are fitted on this machine (in a kitchen file).", example: "fitted \"fourth flavour\"" },
    Word { name: "kit", inside: &["kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[must("count", Takes::Count(1, 99), "how many there are")], means: "Kit that the kitchen has, by the name that the machine files use.", example: "kit \"bucket\" count=3" },
    Word { name: "sink", inside: &["kitchen"], arguments: &[Takes::NewName], repeats: false, flags: &[], properties: &[must("count", Takes::Count(1, 9), "how many loads can be under way at once"), AT], means: "Sinks that the kitchen has, by the name that the machine files use.", example: "sink \"wash sink\" count=1" },
];
