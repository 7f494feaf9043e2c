//! A page for each code of a problem of meaning, with a wrong and a right example.
//!
//! An example that does not begin with `fulltray`, `machine`, `kitchen` or `procedure` is a piece of a file: a
//! step, or what stands in a machine. A test puts each into a small file and reads it.

use ft_syntax::CodePage;

/// All codes of this crate, in order.
pub const PAGES: &[CodePage] = &[
    CodePage {
        code: super::UNKNOWN_WORD,
        title: "a word that cannot stand here",
        why: "Each word of the language has its places: `vessel` stands in a machine, `take-off` in a step. \
              `docs/language.md` lists them all. Either the word is misspelt, or it stands in the wrong braces.",
        wrong: "step \"Door off\" {\n    remove \"door\"\n}",
        right: "step \"Door off\" {\n    take-off \"door\"\n}",
    },
    CodePage {
        code: super::UNKNOWN_PROPERTY,
        title: "a property that this word does not have",
        why: "A property is `name=value`, and each word has its own. Nothing is silently ignored: \
              a misspelt property would otherwise leave its meaning out.",
        wrong: "vessel \"can\" capacity=\"5 L\" colour=\"red\"",
        right: "vessel \"can\" capacity=\"5 L\"",
    },
    CodePage {
        code: super::MISSING_PROPERTY,
        title: "a property that may not be left out",
        why: "Some properties have no sensible value of their own: how much a vessel holds, which position of a switch \
              is safe. What may be left out says in `docs/language.md` what counts then.",
        wrong: "vessel \"can\"",
        right: "vessel \"can\" capacity=\"5 L\"",
    },
    CodePage {
        code: super::WRONG_VALUE,
        title: "a value of another kind than expected",
        why: "Names, texts and amounts with a unit stand in quotes; counts are bare numbers. \
              A text may not be empty, and a name has no dot in it: after a dot stands a side, as in `barrel.left`.",
        wrong: "vessel \"can\" capacity=5",
        right: "vessel \"can\" capacity=\"5 L\"",
    },
    CodePage {
        code: super::BAD_QUANTITY,
        title: "an amount that cannot be read",
        why: "An amount is a number and its unit with a space between: `7 L`, `90 s`, `5 °C`, `100..200 mg/L`. \
              The unit is never guessed: litres and gallons, minutes and seconds are too easily mistaken. \
              The decimal sign is a point.",
        wrong: "vessel \"can\" capacity=\"1,5 L\"",
        right: "vessel \"can\" capacity=\"1.5 L\"",
    },
    CodePage {
        code: super::ARGUMENTS,
        title: "too few or too many values",
        why: "After its name, a node takes the values that `docs/language.md` tells, in that order. \
              A switch needs two positions and a `look` two answers: with one there is nothing to choose.",
        wrong: "step \"Drive off\" {\n    switch \"drive.left\" \"off\" to=\"off\"\n}",
        right: "step \"Drive off\" {\n    switch \"drive.left\" to=\"off\"\n}",
    },
    CodePage {
        code: super::UNKNOWN_FLAG,
        title: "a flag that this word does not have",
        why: "A flag is a bare word after the values, such as `kit` or `each-side`. What has a value is a property and \
              is written with `=`.",
        wrong: "part \"lid\" food-contakt material=\"plastic\"",
        right: "part \"lid\" food-contact material=\"plastic\"",
    },
    CodePage {
        code: super::UNKNOWN_NAME,
        title: "a name that nothing has",
        why: "What a step, a property or a condition speaks of is declared in the machine first, with exactly this name. \
              Capitals, spaces and hyphens count.",
        wrong: "step \"Door off\" {\n    take-off \"dor\"\n}",
        right: "step \"Door off\" {\n    take-off \"door\"\n}",
    },
    CodePage {
        code: super::TWICE,
        title: "the same name twice",
        why: "Switches, vessels, valves, lines, parts and facts share one set of names, so that a name in a step can \
              only mean one thing. The same holds among the steps of a procedure, among positions of a switch and so on.",
        wrong: "vessel \"can\" capacity=\"5 L\"\nvessel \"can\" capacity=\"10 L\"",
        right: "vessel \"can\" capacity=\"5 L\"\nvessel \"large can\" capacity=\"10 L\"",
    },
    CodePage {
        code: super::CIRCLE,
        title: "parts that wait for each other in a circle",
        why: "`behind` and `held-by` say what must be off first. If a part is, by way of others, behind itself, \
              none of them can ever come off.",
        wrong: "part \"lid\" material=\"plastic\" behind=\"clip\"\npart \"clip\" material=\"metal\" behind=\"lid\"",
        right: "part \"lid\" material=\"plastic\" held-by=\"clip\"\npart \"clip\" material=\"metal\"",
    },
    CodePage {
        code: super::UNKNOWN_SIDE,
        title: "a side that the machine does not have",
        why: "A side is declared with `side \"left\"` and named after a dot, as in `barrel.left`, or with `side=\"left\"`.",
        wrong: "step \"Vent\" {\n    vent \"barrel.middle\"\n}",
        right: "step \"Vent\" {\n    vent \"barrel.left\"\n}",
    },
    CodePage {
        code: super::OVER_CAPACITY,
        title: "more than a vessel holds",
        why: "An amount is larger than the vessel's `capacity`. One of the two figures is wrong, or a unit is.",
        wrong: "vessel \"can\" capacity=\"5 L\" holds=\"water\" amount=\"7 L\"",
        right: "vessel \"can\" capacity=\"5 L\" holds=\"water\" amount=\"5 L\"",
    },
    CodePage {
        code: super::MISSING_TEXT,
        title: "a text that lacks a language",
        why: "A file that declares several languages promises its crew every text in each. \
              Where one is missing, the first language is shown; so this is a warning and not an error.",
        wrong: "machine \"freezer\" {\n    languages \"en\" \"es\"\n    part \"door\" material=\"plastic\"\n}",
        right: "machine \"freezer\" {\n    languages \"en\" \"es\"\n    part \"door\" material=\"plastic\" { label es \"puerta\"; }\n}",
    },
    CodePage {
        code: super::UNKNOWN_LANGUAGE,
        title: "a language that the file does not declare",
        why: "The languages of a file stand in `languages`, the first being the one of texts without a code. \
              Without that line it is `en` alone.",
        wrong: "step \"Door off\" {\n    say \"Both hands.\"\n    say fr \"Des deux mains.\"\n}",
        right: "step \"Door off\" {\n    say \"Both hands.\"\n}",
    },
    CodePage {
        code: super::WRONG_KIND,
        title: "the name of another kind of thing",
        why: "The name exists, but what it names cannot be used like this: a valve is opened, a part taken off, \
              a vessel filled.",
        wrong: "step \"Open\" {\n    open \"reservoir\"\n}",
        right: "step \"Open\" {\n    open \"drain\"\n}",
    },
    CodePage {
        code: super::VERSION,
        title: "no version, or one that this program does not know",
        why: "The first line of every file is `fulltray 1`: the version of the language. It lets a later program read \
              your file as you meant it.",
        wrong: "machine \"freezer\" {\n    side \"left\"\n}",
        right: "fulltray 1\nmachine \"freezer\" {\n    side \"left\"\n}",
    },
    CodePage {
        code: super::ONE_MACHINE,
        title: "not exactly one machine or kitchen",
        why: "A machine file holds one machine and its procedures, a kitchen file one kitchen. So a step never has to \
              say which machine it means.",
        wrong: "machine \"freezer\" {\n    side \"left\"\n}\nmachine \"slicer\" {\n    side \"left\"\n}",
        right: "machine \"freezer\" {\n    side \"left\"\n}",
    },
    CodePage {
        code: super::TEXT_TWICE,
        title: "two texts in one language",
        why: "One of the two would never be shown. Texts without a code are in the first language of the file.",
        wrong: "step \"Door off\" {\n    say \"Both hands.\"\n    say \"Straight to the tray.\"\n}",
        right: "step \"Door off\" {\n    say \"Both hands, straight to the tray.\"\n}",
    },
    CodePage {
        code: super::WHICH_SIDE,
        title: "which side is meant, or a side too many",
        why: "What is declared `per=\"side\"` exists once on each side: a step names the side, as in `barrel.left`, or is \
              `each-side`, where a bare name means this side's. What exists once has no side.",
        wrong: "step \"Vent\" {\n    vent \"barrel\"\n}",
        right: "step \"Vent\" each-side {\n    vent \"barrel\"\n}",
    },
    CodePage {
        code: super::CONDITION,
        title: "a condition that this kind of thing cannot have",
        why: "A part is `on`, `off` or `sanitised`; a valve `open` or `shut`; a vessel `empty`, `under pressure`, \
              `sanitised` or holds a liquid; a line `connected`, `off`, `under pressure` or `sanitised`; a switch is in one \
              of its positions. A condition says `is` or `is-not`, and not both.",
        wrong: "step \"Door off\" {\n    needs \"drain\" is=\"empty\"\n    take-off \"door\"\n}",
        right: "step \"Door off\" {\n    needs \"drain\" is=\"shut\"\n    take-off \"door\"\n}",
    },
    CodePage {
        code: super::CONTRADICTS,
        title: "a step that undoes what it then needs",
        why: "The statements of a step happen in the order written. This one asks for something that an earlier one of \
              the same step has just undone, so the step could never be finished.",
        wrong: "step \"Door\" {\n    take-off \"door\"\n    needs \"door\" is=\"on\"\n}",
        right: "step \"Door\" {\n    needs \"door\" is=\"on\"\n    take-off \"door\"\n}",
    },
    CodePage {
        code: super::NEVER_ENABLED,
        title: "a step that nothing can ever allow",
        why: "Even if every other step were done, in whatever order, what this step needs would never be so. \
              Either a step is missing before it, or it asks for the wrong thing.",
        wrong: "step \"Door off\" {\n    needs \"drain\" is=\"open\"\n    take-off \"door\"\n}",
        right: "step \"Drain\" {\n    open \"drain\"\n}\nstep \"Door off\" {\n    needs \"drain\" is=\"open\"\n    take-off \"door\"\n}",
    },
    CodePage {
        code: super::TOO_FINE,
        title: "volumes too fine to count exactly",
        why: "Volumes are counted in their common step: 5 L and 7.5 L in halves of 2.5 L. Where that step is too small \
              for the largest vessel, a larger one is taken and amounts are rounded up, which is safe but may report an \
              overflow that is none. Write volumes in round steps.",
        wrong: "vessel \"can\" capacity=\"17.31 L\" holds=\"water\" amount=\"5.007 L\"\nstep \"Pour\" {\n    fill \"can\" with=\"water\" amount=\"0.013 L\"\n}",
        right: "vessel \"can\" capacity=\"18 L\" holds=\"water\" amount=\"5 L\"\nstep \"Pour\" {\n    fill \"can\" with=\"water\" amount=\"1 L\"\n}",
    },
    CodePage {
        code: super::TOO_LARGE_FOR_SINK,
        title: "a part that is too large for every sink",
        why: "The tool works out the wash loads from `room`: what a part takes and what a sink holds. A part that fits \
              in no sink is washed where it stands: then do not let it come off, but `scrub` it.",
        wrong: "part \"lid\" material=\"plastic\" room=\"40 L\"",
        right: "part \"lid\" material=\"plastic\" room=\"4 L\"",
    },
    CodePage {
        code: super::NOT_ONE_OF,
        title: "a word that is not one of those possible",
        why: "Here only some words are possible, and the message tells which.",
        wrong: "part \"lid\" material=\"wood\"",
        right: "part \"lid\" material=\"plastic\"",
    },
    CodePage {
        code: super::CLOCK,
        title: "a time of day that cannot be read",
        why: "A time of day is hours and minutes of the 24-hour day with two digits each: `09:05`, `22:30`. \
              A time after midnight belongs to the same night where it is earlier than its begin.",
        wrong: "kitchen \"pier\" {\n    closing from=\"10 pm\"\n}",
        right: "kitchen \"pier\" {\n    closing from=\"22:00\"\n}",
    },
    CodePage {
        code: super::NOT_KIT,
        title: "something that is not kit, used as kit",
        why: "Kit is what is taken from a shelf and given back, one as good as the other: a vessel with the flag `kit`. \
              What belongs to the machine is not taken.",
        wrong: "step \"Get\" {\n    take \"reservoir\"\n}",
        right: "step \"Get\" {\n    take \"bucket\"\n    give-back \"bucket\"\n}",
    },
    CodePage {
        code: super::EMPTY_STEP,
        title: "a step in which nothing happens",
        why: "It says nothing and does nothing, so the crew cannot know what it asks for, and nothing can be proved of it.",
        wrong: "step \"Door\"",
        right: "step \"Door\" {\n    say \"Look at the door from below.\"\n}",
    },
    CodePage {
        code: super::AFTER_CIRCLE,
        title: "steps that are after each other in a circle",
        why: "`after` asks for an order. If a step is, by way of others, after itself, none of them can ever begin.",
        wrong: "step \"A\" {\n    say \"First.\"\n    after \"B\"\n}\nstep \"B\" {\n    say \"Then.\"\n    after \"A\"\n}",
        right: "step \"A\" {\n    say \"First.\"\n}\nstep \"B\" {\n    say \"Then.\"\n    after \"A\"\n}",
    },
    CodePage {
        code: super::NO_SIDES,
        title: "sides of a machine that has none",
        why: "`per=\"side\"` and `each-side` speak of the sides that the machine declares with `side \"left\"` and so on. \
              Without any, there would be nothing.",
        wrong: "machine \"freezer\" {\n    vessel \"barrel\" per=\"side\" capacity=\"7 L\"\n}",
        right: "machine \"freezer\" {\n    side \"left\"\n    vessel \"barrel\" per=\"side\" capacity=\"7 L\"\n}",
    },
    CodePage {
        code: super::OUT_OF_RANGE,
        title: "a number outside its range",
        why: "Counts are whole numbers in a range that `docs/language.md` tells; other numbers are above 0.",
        wrong: "vessel \"can\" kit count=0 capacity=\"5 L\"",
        right: "vessel \"can\" kit count=2 capacity=\"5 L\"",
    },
    CodePage {
        code: super::NO_STEPS,
        title: "a procedure without steps",
        why: "There is nothing to prove and nothing to do. It is a warning, so that a file can be begun with its machine.",
        wrong: "procedure \"weekly\"",
        right: "procedure \"weekly\" {\n    step \"Look\" { say \"Look at the hoses.\"; }\n}",
    },
    CodePage {
        code: super::LIMITS,
        title: "limits of a reading that cannot be read",
        why: "A reading has a least and a most, or one of them, with its unit: `100..200 mg/L`, `< 5 °C`, `> 60 °C`.",
        wrong: "step \"Strip\" {\n    measure \"Strength\" within=\"about 100\"\n}",
        right: "step \"Strip\" {\n    measure \"Strength\" within=\"100..200 mg/L\"\n}",
    },
];
