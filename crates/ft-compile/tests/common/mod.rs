//! Puts pieces of files into the smallest file in which they can stand.

use ft_diag::Problem;

/// A declaration of the machine around a piece: the names that it declares, and its text.
type Item = (&'static [&'static str], &'static str);

/// What the machine around a piece has. A piece that declares a name of its own takes the place of that line.
const MACHINE: &[Item] = &[
    (&["left"], "side \"left\""),
    (&["right"], "side \"right\""),
    (&["fourth flavour"], "option \"fourth flavour\""),
    (&["front"], "place \"front\""),
    (&["sink"], "place \"sink\""),
    (&["mix"], "product \"mix\""),
    (&["cleaner"], "solution \"cleaner\" kind=\"cleaner\""),
    (&["sanitiser"], "solution \"sanitiser\" kind=\"sanitiser\""),
    (
        &["drive"],
        "switch \"drive\" per=\"side\" starts=\"run\" safe=\"off\" { position \"run\"; position \"flush\"; position \"off\"; }",
    ),
    (&["barrel"], "vessel \"barrel\" per=\"side\" capacity=\"7 L\" holds=\"mix\" amount=\"5 L\""),
    (&["reservoir"], "vessel \"reservoir\" capacity=\"18 L\""),
    (&["hopper"], "vessel \"hopper\" capacity=\"9 L\""),
    (&["bucket"], "vessel \"bucket\" kit count=3 capacity=\"10 L\""),
    (&["hose"], "vessel \"hose\" kit count=1 capacity=\"1 L\""),
    (&["draw"], "valve \"draw\" per=\"side\" from=\"barrel\""),
    (&["drain"], "valve \"drain\" from=\"reservoir\""),
    (&["syrup line"], "line \"syrup line\" { end \"door\"; end \"source\"; }"),
    (&["mix line"], "line \"mix line\" { end \"pump end\"; end \"barrel end\"; }"),
    (&["draw handle"], "part \"draw handle\" material=\"metal\""),
    (&["spinner"], "part \"spinner\" material=\"metal\""),
    (&["door"], "part \"door\" material=\"plastic\""),
    (&["door nut"], "part \"door nut\" material=\"metal\""),
    (&["beater"], "part \"beater\" material=\"metal\""),
    (&["air tube"], "part \"air tube\" material=\"plastic\""),
    (&["heater plate"], "part \"heater plate\" material=\"metal\""),
    (
        &["pump", "door ring"],
        "part \"pump\" material=\"plastic\" { seal \"door ring\" lubricant=\"food grade\"; }",
    ),
    (&["wash sink"], "sink \"wash sink\" room=\"24 L\""),
    (&["hopper covered"], "fact \"hopper covered\" starts=\"no\" { value \"no\"; value \"yes\"; }"),
];

const KITCHEN: &[Item] =
    &[(&["front"], "place \"front\""), (&["sink"], "place \"sink\""), (&["blades"], "skill \"blades\"")];

/// Words that give a name to an item of the machine or the kitchen.
const DECLARE: [&str; 15] = [
    "side", "option", "place", "product", "solution", "switch", "vessel", "valve", "line", "part", "piece",
    "seal", "sink", "fact", "skill",
];

/// A procedure for pieces that speak of another one or of its steps.
const CLOSING: &str = "procedure \"closing\" {\n    step \"Stop the drive\" each-side { switch \"drive\" to=\"off\"; }\n    step \"Door off\" { take-off \"door\"; }\n}";

/// A file around a piece that stands in `home`, in a file that declares `languages`.
pub fn wrap(home: &str, piece: &str, languages: &str) -> String {
    let inside = |opening: &str, home: &str| wrap(home, &format!("{opening} {{\n{piece}\n}}"), languages);
    let full = |items: &[Item]| {
        let declares = |name: &&str| {
            let named = format!("\"{name}\"");
            piece
                .lines()
                .filter_map(|line| line.trim_start().split_once(' '))
                .any(|(word, rest)| DECLARE.contains(&word) && rest.starts_with(&named))
        };
        let kept: Vec<&str> =
            items.iter().filter(|(names, _)| !names.iter().any(&declares)).map(|(_, text)| *text).collect();
        kept.join("\n")
    };
    let machine = || format!("machine \"wrapped\" {{\nlanguages {languages}\n{}\n}}", full(MACHINE));
    match home {
        "file" if piece.starts_with("fulltray") => {
            if piece.contains('\n') {
                piece.to_owned()
            } else {
                format!("{piece}\n{}", machine())
            }
        }
        "file" if piece.starts_with("machine") || piece.starts_with("kitchen") => {
            format!("fulltray 1\n{piece}\n")
        }
        "file" => {
            let before = if piece.contains("from=\"closing\"") { CLOSING } else { "" };
            let machine = format!("machine \"wrapped\" {{\nlanguages {languages}\n{}\n}}", plain(MACHINE));
            format!("fulltray 1\n{machine}\n{before}\n{piece}\n")
        }
        "machine" => format!(
            "fulltray 1\nmachine \"wrapped\" {{\nlanguages {languages}\n{}\n{piece}\n}}\n",
            full(MACHINE)
        ),
        "kitchen" => {
            format!(
                "fulltray 1\nkitchen \"wrapped\" {{\nlanguages {languages}\n{}\n{piece}\n}}\n",
                full(KITCHEN)
            )
        }
        "procedure" => {
            let from =
                if piece.starts_with("without") { "\"opening\" from=\"closing\"" } else { "\"weekly\"" };
            inside(&format!("procedure {from}"), "file")
        }
        "step" => wrap(
            "procedure",
            &format!(
                "step \"Stop the drive\" {{ say \"First.\"; }}\nstep \"Wrapped\" each-side {{\n{piece}\n}}"
            ),
            languages,
        ),
        "finds" => wrap(
            "step",
            &format!(
                "look \"Which?\" {{\nfinds \"this\" {{\n{piece}\n}}\nfinds \"that\" {{ say \"Go on.\"; }}\n}}"
            ),
            languages,
        ),
        "look" => wrap(
            "step",
            &format!(
                "look \"Which?\" {{\n{piece}\nfinds \"this\" {{ say \"Go on.\"; }}\nfinds \"that\" {{ say \"Go on.\"; }}\n}}"
            ),
            languages,
        ),
        "wait" => inside("wait about=\"90 s\"", "step"),
        "measure" => inside("measure \"Strength\" within=\"100..200 mg/L\"", "step"),
        "discard" => inside("discard \"bucket\"", "step"),
        "store" => inside("store \"bucket\" in=\"rerun can\"", "step"),
        "hang" => inside("hang \"bucket\" at=\"draw valve\"", "step"),
        "inspect" => inside("inspect \"door\"", "step"),
        "after" => inside("after \"Stop the drive\"", "step"),
        "never" => inside("never \"wrapped\"", "procedure"),
        "goal" => inside("goal", "procedure"),
        "switch" => wrap(
            "machine",
            &format!(
                "switch \"wrapped switch\" starts=\"run\" safe=\"on\" {{\nposition \"run\"; position \"flush\"; position \"on\"\n{piece}\n}}"
            ),
            languages,
        ),
        "moves" | "cools" | "live" => {
            let of = if home == "cools" { "reservoir" } else { "beater" };
            inside(&format!("{home} \"{of}\""), "switch")
        }
        "line" => inside("line \"wrapped line\"", "machine"),
        "fact" => wrap(
            "machine",
            &format!("fact \"wrapped fact\" starts=\"before\" {{\nvalue \"before\"\n{piece}\n}}"),
            languages,
        ),
        "part" => inside("part \"wrapped part\" material=\"plastic\"", "machine"),
        "piece" => inside("piece \"wrapped piece\" material=\"plastic\"", "part"),
        "seal" => inside("seal \"wrapped seal\"", "part"),
        "solution" => inside("solution \"wrapped solution\" kind=\"cleaner\"", "machine"),
        "vessel" => inside("vessel \"wrapped vessel\" capacity=\"5 L\"", "machine"),
        "valve" => inside("valve \"wrapped valve\" from=\"reservoir\"", "machine"),
        "sink" => inside("sink \"wrapped sink\" room=\"24 L\"", "machine"),
        "position" => inside("position \"wrapped position\"", "switch"),
        "end" => inside("end \"wrapped end\"", "line"),
        "value" => inside("value \"wrapped value\"", "fact"),
        "side" | "option" | "place" | "product" => inside(&format!("{home} \"wrapped {home}\""), "machine"),
        "machine in a kitchen" => inside("machine \"freezer\" file=\"freezer.machine.kdl\"", "kitchen"),
        "sink in a kitchen" => inside("sink \"wash sink\" count=1", "kitchen"),
        "skill" | "person" => inside(&format!("{home} \"wrapped {home}\""), "kitchen"),
        "kit" => inside("kit \"wrapped kit\" count=1", "kitchen"),
        other => panic!("no file is known for a piece in `{other}`"),
    }
}

fn plain(items: &[Item]) -> String {
    items.iter().map(|(_, text)| *text).collect::<Vec<_>>().join("\n")
}

/// Problems in a few words each, for a failing test.
pub fn told(problems: &[Problem]) -> String {
    let one = |p: &Problem| {
        format!(
            "\n    {} {}: {} ({})",
            p.severity.word(),
            p.code,
            p.message,
            p.remedy.as_deref().unwrap_or("-")
        )
    };
    problems.iter().map(one).collect()
}
