//! A release that is refused for each single reason: the page names it, what it rests on, and what would turn it into
//! a yes. One urn for each, so that one night, one morning and one page show them all.

use std::collections::BTreeMap;

use ft_browser::{Caller, Driver, Session, Site, Size};
use serde_json::{Value, json};

use crate::tells::{self, HOUR_MS, MINUTE_MS, Tablet};

/// A case: the urn's name is the reason's code.
struct Case {
    code: &'static str,
    /// What its evidence or text says, among other things; empty: that nothing was told is the evidence.
    evidence: &'static str,
    /// What would turn it into a yes.
    yes_when: &'static str,
    /// What cannot be wrong alone: these may stand with it.
    follows: &'static [&'static str],
}

const fn case(
    code: &'static str,
    evidence: &'static str,
    yes_when: &'static str,
    follows: &'static [&'static str],
) -> Case {
    Case { code, evidence, yes_when, follows }
}

/// Every reason that a finished morning can have; `no-closing` and `no-opening` are those of a page before it.
const CASES: [Case; 24] = [
    case("file-changed", "event ", "Judge it with the file of that closing", &[]),
    case("step-skipped", "found: 0 of 1 · limit: 1 of 1", "Do `Look over the tray`", &[]),
    case("out-of-order", "event ", "Tell what it waits for", &["step-skipped"]),
    case("differed", "event ", "let a lead judge it", &[]),
    case("dangerous", "event ", "Make the closing anew", &["differed"]),
    case("end-missed", "event ", "Put it right and tell it", &["differed"]),
    case("part-missing", "event ", "Look in the product first", &[]),
    case("journey-incomplete", "found: off", "Wash, rinse, sanitise and lay it out", &[]),
    case("part-not-fitted", "limit: fitted", "Fit it and tell it", &[]),
    case("part-bad", "event ", "Put a new one in its place", &[]),
    case("not-lubricated", "event ", "Lubricate it and tell it", &[]),
    case("past-life", "found: 100 days · limit: 30 days", "Replace it, or look at it", &[]),
    case("contact-short", "found: 59 s · limit: 60 s", "Do it again for its whole time", &[]),
    case("reading-failed", "found: 90 mg/L · limit: 100..200 mg/L", "measure it again", &[]),
    case("reading-missing", "found: none · limit: < 5 °C", "Measure it", &[]),
    case(
        "not-sanitised",
        "found: not told · limit: sanitised",
        "Sanitise it and tell it",
        &["step-skipped", "out-of-order"],
    ),
    case("sanitised-too-early", "limit: 24 h", "Sanitise it again before serving", &[]),
    case("too-warm", "found: 9 °C · limit: 5 °C", "Cool it or discard it", &[]),
    case("temperature-unknown", "limit: 30 min", "Measure it, and mend the probe", &[]),
    case("lot-expired", "found: 2020-01-01", "Discard it, clean what held it", &[]),
    case("lots-untold", "", "Tell which lot was filled in", &[]),
    case("fault-open", "event ", "Mend it and tell what was done", &[]),
    case("not-allowed", "event ", "signs that they watched", &[]),
    case("not-signed", "", "Somebody signs it who may sign the opening", &[]),
];

/// A urn of which everything is well.
const WELL: &str = "well";

/// The page's answer for a urn.
#[derive(Debug)]
struct Shown {
    answer: String,
    /// By code: sentence, what would make it a yes, evidence, and whether a form to set it aside is offered.
    reasons: BTreeMap<String, (String, String, String, bool)>,
}

/// What the page of the release shows, by machine.
fn shown(tablet: &Session, site: &Site) -> BTreeMap<String, Shown> {
    tablet.go(&format!("{}/release", site.address()));
    let all = tablet.eval(
        "const text = (one) => one?.textContent.trim() ?? '';
         return [...document.querySelectorAll('section.release')].map(of => ({ machine: of.dataset.machine, answer: of.dataset.answer,
           reasons: [...of.querySelectorAll('ol.reasons > li')].map(li => ({ key: li.dataset.reason, sentence: text(li.querySelector('p.big')),
             yes: text(li.querySelectorAll('p')[1]), aside: !!li.querySelector('form'),
             evidence: [...li.querySelectorAll('details:first-of-type li')].map(text).join(' | ') })) }))",
    );
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let one = |of: &Value| {
        let reason = |of: &Value| {
            let code = text(&of["key"]).split('/').next().unwrap_or_default().to_owned();
            (
                code,
                (text(&of["sentence"]), text(&of["yes"]), text(&of["evidence"]), of["aside"] == json!(true)),
            )
        };
        let reasons = of["reasons"].as_array().into_iter().flatten().map(reason).collect();
        (text(&of["machine"]), Shown { answer: text(&of["answer"]), reasons })
    };
    all.as_array().into_iter().flatten().map(one).collect()
}

/// Ids of the events of a run, by machine and by the event's name in the form.
type Ids = BTreeMap<(String, String), String>;

/// Tells a whole run of all urns, each event two minutes after the one before it, from a moment on. `spoil` says of each,
/// by its urn and its name, when it really was and by whom.
fn tell(
    (lead, teo): (&Caller, &Caller),
    run: &str,
    begins_ms: i64,
    spoil: impl Fn(&str, &str, i64) -> (i64, &'static str),
) -> Ids {
    let mut ids = Ids::new();
    for (machine, form) in tells::forms(teo) {
        let mut tablets = BTreeMap::new();
        for (index, event) in tells::walk(&form).into_iter().enumerate() {
            let name = &form.events[event].name;
            let (at_ms, who) = spoil(&machine, name, begins_ms + 2 * index as i64 * MINUTE_MS);
            let tablet: &mut Tablet = tablets.entry(who).or_insert_with(|| Tablet::of(who));
            let id =
                tablet.at(at_ms, Some(run), Some(&machine), json!({ "what": "happened", "event": name }));
            ids.insert((machine.clone(), name.clone()), id);
        }
        for (who, tablet) in tablets {
            tablet.send(if who == lead.name { lead } else { teo });
        }
    }
    ids
}

fn reading(of: &str, value: f64, unit: &str, source: &str) -> Value {
    json!({ "what": "reading", "of": of, "value": value, "unit": unit, "source": source })
}

#[test]
fn each_single_reason_stands_on_the_page() {
    let Some(driver) = Driver::start() else { return };
    let mut urns: Vec<&str> = CASES.iter().map(|case| case.code).collect();
    urns.push(WELL);
    let site = Site::start_with(&crate::program(), &tells::row(&urns), &[("urn.machine.kdl", tells::URN)]);
    let tablet = driver.session("marisol", Size::DESKTOP);
    site.set_up(&tablet, "Marisol");
    let (lead, teo) = (site.lead(), tells::with_teo(&site));
    let mut taught = Tablet::of("Marisol");
    taught.at(
        tells::now_ms(),
        None,
        None,
        json!({ "what": "trained", "who": "Teo", "skill": "filling", "how": "confirmed" }),
    );
    taught.send(&lead);
    fill(&lead, &urns);

    let before = shown(&tablet, &site);
    assert!(
        before.values().all(|of| of.answer == "no" && of.reasons.contains_key("no-closing")),
        "{before:#?}"
    );
    let (sentence, yes, ..) = &before[WELL].reasons["no-closing"];
    assert!(
        sentence.contains("No closing of the well is on record") && yes.contains("Close it"),
        "{sentence} {yes}"
    );

    let now = tells::now_ms();
    let closing = tells::open(&lead, "closing");
    let night =
        tell((&lead, &teo), &closing, now - 10 * HOUR_MS, |machine, name, at_ms| match (machine, name) {
            // A second less than the label asks for.
            ("contact-short", "Load 1, sanitise@end") => (at_ms - 2 * MINUTE_MS + 59_000, "Teo"),
            ("sanitised-too-early", _) => (at_ms - 30 * HOUR_MS, "Teo"),
            _ => (at_ms, "Teo"),
        });
    let laid_out_ms = tells::now_ms();
    teo.post("/api/run/close", &json!({}));
    let closed = shown(&tablet, &site);
    let alone: Vec<&str> = closed[WELL].reasons.keys().map(String::as_str).collect();
    assert_eq!(alone, ["no-opening"], "{closed:#?}");
    assert!(closed[WELL].reasons["no-opening"].1.contains("Open it: fit every part"));

    let opening = tells::open(&teo, "opening");
    let now = tells::now_ms();
    let morning = tell_opening((&lead, &teo), &opening, now);
    sign(&teo, &opening, &urns);
    spoil(&teo, (&closing, &night), (&opening, &morning), (laid_out_ms, now));

    let told = shown(&tablet, &site);
    tablet.picture(&ft_browser::pictures().join("release-reasons-desktop.png"));
    assert_eq!((told[WELL].answer.as_str(), told[WELL].reasons.len()), ("yes", 0), "{:#?}", told[WELL]);
    let mut wrong = Vec::new();
    for case in &CASES {
        let of = &told[case.code];
        let others =
            of.reasons.keys().filter(|code| *code != case.code && !case.follows.contains(&code.as_str()));
        let others: Vec<_> = others.collect();
        let well = of.answer == "no"
            && others.is_empty()
            && of.reasons.get(case.code).is_some_and(|(sentence, yes, evidence, _)| {
                sentence.len() > 20 && yes.contains(case.yes_when) && evidence.contains(case.evidence)
            });
        if !well {
            wrong.push(format!("{}: {of:#?}", case.code));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let aside: Vec<&str> =
        CASES.iter().map(|case| case.code).filter(|code| told[*code].reasons[*code].3).collect();
    // What can hurt a guest and cannot be seen any more is set aside by nobody.
    assert_eq!(
        aside,
        [
            "differed",
            "dangerous",
            "not-lubricated",
            "past-life",
            "temperature-unknown",
            "lots-untold",
            "fault-open",
            "not-allowed"
        ]
    );
    turn_into_a_yes(&tablet, &site, &teo, &opening);
}

/// One lot into every urn but two: nothing was told of one, and a lot past its day is in the other.
fn fill(lead: &Caller, urns: &[&str]) {
    let mut tablet = Tablet::of("Marisol");
    let at_ms = tells::now_ms();
    for (lot, use_by) in [("A", json!(null)), ("old", json!("2020-01-01"))] {
        let mut fact = json!({ "what": "lot-received", "lot": lot, "product": "sorbet mix", "litres": 100.0, "origin": "delivered" });
        if use_by != json!(null) {
            fact["use_by"] = use_by;
        }
        tablet.at(at_ms, None, None, fact);
    }
    for urn in urns.iter().filter(|urn| **urn != "lots-untold") {
        let from = if *urn == "lot-expired" { "old" } else { "A" };
        let fact = json!({ "what": "blended", "from": from, "into": format!("{urn}/urn"), "litres": 3.0 });
        tablet.at(at_ms, None, None, fact);
    }
    tablet.send(lead);
}

/// The morning of all urns, half an hour ago; what needs a skill is done now: the kitchen knows its people from today.
fn tell_opening(callers: (&Caller, &Caller), run: &str, now: i64) -> Ids {
    let teo = callers.1;
    let mut readings = Tablet::of("Teo");
    for machine in tells::forms(teo).keys() {
        let strength = if machine == "reading-failed" { 90.0 } else { 150.0 };
        let strong = reading("Sanitiser strength in the morning", strength, "mg/L", "hand");
        readings.at(now - 29 * MINUTE_MS, Some(run), Some(machine), strong);
        if machine != "reading-missing" {
            let cold = reading("Temperature of the mix", 3.0, "°C", "hand");
            readings.at(now - MINUTE_MS, Some(run), Some(machine), cold);
        }
    }
    readings.send(teo);
    tell(callers, run, now - 30 * MINUTE_MS, |machine, name, at_ms| match (machine, name) {
        ("not-allowed", "Mix in") => (now, "Marisol"),
        (_, "Mix in") => (now, "Teo"),
        ("sanitised-too-early", _) => (at_ms - 30 * HOUR_MS, "Teo"),
        _ => (at_ms, "Teo"),
    })
}

/// Teo signs each urn's opening but one.
fn sign(teo: &Caller, run: &str, urns: &[&str]) {
    let mut tablet = Tablet::of("Teo");
    for urn in urns.iter().filter(|urn| **urn != "not-signed") {
        tablet.at(tells::now_ms(), Some(run), Some(urn), json!({ "what": "signed", "as": "opener" }));
    }
    tablet.send(teo);
}

/// What is wrong with each urn, told after everything was signed.
fn spoil(
    teo: &Caller,
    (closing, night): (&str, &Ids),
    (opening, morning): (&str, &Ids),
    (laid_out_ms, now): (i64, i64),
) {
    let late = tells::now_ms();
    let tell = |urn: &str, run: Option<&str>, at_ms: i64, fact: Value| {
        let mut tablet = Tablet::of("Teo");
        tablet.at(at_ms, run, Some(urn), fact);
        tablet.send(teo);
    };
    // It never happened, whatever was told.
    let undo = |urn: &str, run: &str, ids: &Ids, event: &str| {
        let of = &ids[&(urn.to_owned(), event.to_owned())];
        tell(urn, Some(run), late, json!({ "what": "corrected", "of": of, "because": "it never happened" }));
    };
    let ring = json!({ "part": "plug ring" });
    let looked = |urn: &str, good: bool, lubricated: bool| {
        let fact = json!({ "what": "part-inspected", "part": ring, "good": good, "lubricated": lubricated });
        tell(urn, None, late, fact);
    };
    let moved = |urn: &str, at_ms: i64, to: &str| {
        tell(urn, None, at_ms, json!({ "what": "part-moved", "part": ring, "to": to }));
    };
    let differed = |urn: &str, run: &str, at_ms: i64, mut fact: Value| {
        fact["what"] = json!("differed");
        fact["because"] = json!("I say how it was");
        tell(urn, Some(run), at_ms, fact);
    };
    let probed = |urn: &str, at_ms: i64, value: f64| {
        tell(urn, None, at_ms, reading(&format!("{urn}/urn"), value, "°C", "probe"));
    };

    tell(
        "file-changed",
        Some(closing),
        late,
        json!({ "what": "happened", "event": "A step of another file" }),
    );
    undo("step-skipped", closing, night, "Look over the tray");
    undo("out-of-order", opening, morning, "Power on");
    for event in ["@start", "@2", "@end"] {
        undo("not-sanitised", closing, night, &format!("Sanitise the urn{event}"));
        undo("not-sanitised", opening, morning, &format!("Morning sanitiser{event}"));
    }
    differed("differed", opening, late, json!({}));
    // Before everything else of that night: the power was on.
    differed("dangerous", closing, now - 11 * HOUR_MS, json!({ "event": "Clean the urn@start" }));
    differed("end-missed", opening, late, json!({ "found": { "power": 1 } }));
    tell("part-missing", None, late, json!({ "what": "part-missing", "part": ring }));
    moved("journey-incomplete", laid_out_ms, "off");
    moved("part-not-fitted", late, "laid-out");
    looked("part-bad", false, true);
    looked("not-lubricated", true, false);
    let replaced = json!({ "what": "part-replaced", "part": ring, "failed": false });
    tell("past-life", None, late - 100 * tells::DAY_MS, replaced);
    probed("too-warm", late, 9.0);
    probed("temperature-unknown", late - 2 * HOUR_MS, 3.0);
    tell("fault-open", None, late, json!({ "what": "fault-opened", "text": "the lid is loose" }));
}

/// What would turn it into a yes does: a signature, something set aside by the lead, something mended.
fn turn_into_a_yes(tablet: &Session, site: &Site, teo: &Caller, opening: &str) {
    let signs = "section[data-machine=not-signed] form[data-post] button";
    tablet.touch(signs);
    tablet.until(
        "a yes",
        "return document.querySelector('section[data-machine=not-signed]')?.dataset.answer === 'yes'",
    );
    let aside = "section[data-machine=differed] li[data-reason] form";
    tablet.eval(
        "document.querySelectorAll('section[data-machine=differed] details').forEach(one => one.open = true)",
    );
    tablet.type_into(&format!("{aside} textarea"), "A drip of water, wiped up; I looked at it.");
    tablet.touch(&format!("{aside} button"));
    tablet.until(
        "set aside",
        "return document.querySelector('section[data-machine=differed]')?.dataset.answer === 'yes'",
    );
    let said = tablet.text("section[data-machine=differed] li.set-aside");
    assert!(said.contains("Marisol: A drip of water"), "who set it aside and why stays to be seen: {said}");
    let fault =
        site.record().into_iter().find(|event| event["fact"]["what"] == "fault-opened").expect("a fault");
    let mut mended = Tablet::of("Teo");
    let now = tells::now_ms();
    mended.at(
        now,
        None,
        Some("fault-open"),
        json!({ "what": "fault-closed", "of": fault["id"], "text": "tightened" }),
    );
    mended.at(
        now,
        None,
        Some("part-missing"),
        json!({ "what": "part-found", "part": { "part": "plug ring" }, "place": "the sink" }),
    );
    let again = reading("Temperature of the mix", 3.0, "°C", "hand");
    mended.at(now, Some(opening), Some("reading-missing"), again);
    mended.send(teo);
    let told = shown(tablet, site);
    for urn in ["fault-open", "part-missing", "reading-missing", "not-signed", "differed"] {
        assert_eq!(told[urn].answer, "yes", "{urn}: {:#?}", told[urn]);
    }
    let answers = site.lead().get("/api/release");
    let machines = answers["machines"].as_array().expect("machines");
    for of in machines {
        let name = of["machine"].as_str().expect("a name");
        assert_eq!(
            of["may_serve"],
            json!(told[name].answer == "yes"),
            "a display is told what the page says: {name}"
        );
    }
}
