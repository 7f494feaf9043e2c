//! Practice in the browser: a session that is passed and one that is not, what the record keeps of each, and what
//! comes of it for who may do something alone.

use ft_browser::{Driver, Session, Site, Size};
use ft_form::Form;
use ft_form::walk::State;
use serde_json::{Value, json};

use crate::{crew, tells};

const MACHINE: &str = "urn";

/// What the page offers, by the events' names.
fn offered(tablet: &Session) -> Vec<String> {
    let offered = tablet
        .eval("return [...document.querySelectorAll('ul.choices button')].map(one => one.dataset.event)");
    offered.as_array().into_iter().flatten().filter_map(|name| name.as_str().map(str::to_owned)).collect()
}

/// Makes a choice, and gives what the page calls it.
fn choose(tablet: &Session, event: &str) -> String {
    // What was told of the choice before must not be taken for this one's.
    tablet.eval("document.getElementById('told')?.remove()");
    tablet.touch(&format!("ul.choices button[data-event={}]", json!(event)));
    let told = tablet.until(
        "a word on it",
        "return document.getElementById('told')?.dataset.kind ?? (document.getElementById('result') && 'end')",
    );
    told.as_str().unwrap_or_default().to_owned()
}

/// Goes through a session; before each right choice, `wrong` may name one that is not. What is right is judged by the
/// reference walk of the core form, which shares no code with the page.
fn session(
    tablet: &Session,
    address: &str,
    form: &Form,
    mut wrong: impl FnMut(&[String], &State) -> Option<String>,
) {
    tablet.go(&format!("{address}/practice?seed=7"));
    tablet.touch(&format!("button[data-machine={MACHINE}][data-procedure=closing]"));
    let mut state = State::start(form);
    while !state.is_finished() {
        tablet.until("a question", "return document.getElementById('question')");
        let names = offered(tablet);
        if let Some(slip) = wrong(&names, &state) {
            assert_ne!(choose(tablet, &slip), "right", "`{slip}` is none");
            continue;
        }
        let number =
            |name: &String| form.events.iter().position(|event| event.name == *name).expect("an event");
        let right = names.iter().find(|name| state.may(form, number(name)).is_ok());
        let right = right.unwrap_or_else(|| panic!("something right is offered: {names:?}"));
        let after = state.after(form, number(right));
        let told = choose(tablet, right);
        assert_eq!(told, if after.is_finished() { "end" } else { "right" }, "`{right}`");
        state = after;
    }
}

fn sessions(site: &Site) -> Vec<Value> {
    site.record()
        .into_iter()
        .map(|event| event["fact"].clone())
        .filter(|fact| fact["what"] == "practised")
        .collect()
}

#[test]
fn a_practice_session_passed_and_one_failed() {
    let Some(driver) = Driver::start() else { return };
    let site =
        Site::start_with(&crate::program(), &tells::row(&[MACHINE]), &[("urn.machine.kdl", tells::URN)]);
    let marisol = driver.session("marisol", Size::TABLET);
    site.set_up(&marisol, "Marisol");
    site.add("Teo", &["closer"]);
    let tablet = driver.session("teo", Size::PHONE);
    crew::sign_in(&tablet, &site.address(), "Teo");
    let answer = site.caller("Teo").get(&format!("/api/practice?machine={MACHINE}&procedure=closing"));
    let form = ft_form::json::parse(&answer["form"].to_string()).expect("a form");
    // Three times under watch, and nothing practised yet: not alone.
    for _ in 0..3 {
        let mut watch = tells::Tablet::of("Marisol");
        let fact = json!({ "what": "trained", "who": "Teo", "skill": "filling", "how": "under-watch" });
        watch.at(tells::now_ms(), None, None, fact);
        watch.send(&site.lead());
    }
    let alone = || {
        marisol.go(&format!("{}/people", site.address()));
        let skill = "section[data-name=Teo] li[data-skill=filling]";
        let told = marisol.eval(&format!("return document.querySelector({}).dataset.alone", json!(skill)));
        (told == json!("yes"), marisol.text(skill))
    };
    let (is_alone, why) = alone();
    assert!(!is_alone && why.contains("no practice of it passed yet"), "{why}");

    // Water while the power is on: once is enough, however few slips there are.
    let mut is_wet = false;
    session(&tablet, &site.address(), &form, |names, state| {
        let power = form.events.iter().position(|event| event.name == "Power off").expect("a step");
        let live = names.iter().find(|name| name.starts_with("Clean the urn") && !state.done[power]);
        let slip = live.filter(|_| !is_wet)?;
        is_wet = true;
        Some(slip.clone())
    });
    assert!(is_wet, "the wrong choice was offered");
    crew::until_told(&site, "practised", 1);
    assert_eq!(tablet.text("#result"), "✗ Not passed");
    tablet.picture(&ft_browser::pictures().join("practice-failed-phone.png"));
    let told = sessions(&site);
    assert_eq!(
        (&told[0]["session"]["passed"], &told[0]["session"]["slips"]["Clean the urn"]),
        (&json!(false), &json!(1))
    );
    assert!(!alone().0, "what was not passed counts for nothing");
    tablet.go(&format!("{}/practice", site.address()));
    let course = tablet.text("ul.courses li");
    assert!(course.contains("not passed, 1 slip") && course.contains("due today"), "{course}");
    assert!(course.contains("To repeat: Clean the urn"), "{course}");

    session(&tablet, &site.address(), &form, |_, _| None);
    crew::until_told(&site, "practised", 2);
    assert_eq!(tablet.text("#result"), "✓ Passed");
    let told = sessions(&site);
    assert_eq!(
        (told.len(), &told[1]["session"]["passed"], &told[1]["session"]["slips"]),
        (2, &json!(true), &json!({}))
    );
    let (is_alone, why) = alone();
    assert!(is_alone, "three times under watch and practice passed: {why}");
    tablet.go(&format!("{}/practice", site.address()));
    // The closing, which was passed, is no longer due; the opening, never practised, is, and so stands first.
    let due = tablet.eval("return [...document.querySelectorAll('ul.courses li')].map(li => [li.querySelector('button').dataset.procedure, !!li.querySelector('.badge')])");
    assert_eq!(due, json!([["opening", true], ["closing", false]]));
}
