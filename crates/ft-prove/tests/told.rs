//! Stories, reasons and repairs are told in the author's words, in both languages.

use ft_form::walk::State;
use ft_form::{Allowed, Asked, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_prove::tell::{self, Language};
use ft_prove::{Limits, Reason, Repair, check, order, repair, was_asked, why, why_before, why_not};

fn words(en: &str, es: &str) -> Words {
    Words::from([("en".to_string(), en.to_string()), ("es".to_string(), es.to_string())])
}

/// Taking the door off while there is pressure; venting is a step, but nothing says that it comes first.
fn door_and_vent() -> Form {
    let var = |name: &str, init: i32, vals: [&str; 2], words: Words| Var {
        name: name.into(),
        lo: 0,
        hi: 1,
        init,
        kind: VarKind::Enum,
        vals: vals.map(String::from).to_vec(),
        words,
    };
    let set = |var: usize, c: i32| vec![Effect { when: vec![], var, op: Op::Set, c }];
    let mut vent = Event::new("vent", "vent", EventKind::Do);
    vent.words = words("Let the pressure off", "Suelte la presión");
    vent.eff = set(0, 0);
    let mut off = Event::new("door_off", "door_off", EventKind::Do);
    off.words = words("Take the door off", "Quite la puerta");
    off.eff = set(1, 1);
    Form {
        name: "door and vent".into(),
        people: 1,
        vars: vec![
            var("press", 1, ["none", "high"], words("the pressure", "la presión")),
            var("door", 0, ["on", "off"], words("the door", "la puerta")),
        ],
        events: vec![vent, off],
        hazards: vec![Hazard {
            id: "jet".into(),
            on: None,
            when: vec![Allowed { var: 0, mask: 2 }, Allowed { var: 1, mask: 2 }],
            words: words("Mix shoots out at the face.", "La mezcla salta a la cara."),
            origin: None,
        }],
        goal: vec![Allowed { var: 1, mask: 2 }],
        ..Form::default()
    }
}

#[test]
fn a_story_with_the_state_that_makes_it_wrong() {
    let form = door_and_vent();
    let verdict = check(&form, &Limits::default());
    let told = tell::flaw(&form, &verdict.flaws()[0], Language::En);
    let expected =
        ["1. Take the door off.", "Now: the pressure = high, the door = off.", "Mix shoots out at the face."];
    assert_eq!(told, expected);
    let told = tell::flaw(&form, &verdict.flaws()[0], Language::of("es-MX"));
    let expected =
        ["1. Quite la puerta.", "Ahora: la presión = high, la puerta = off.", "La mezcla salta a la cara."];
    assert_eq!(told, expected);
}

#[test]
fn a_repair_and_the_reason_for_an_order() {
    let form = door_and_vent();
    let Repair::Add(added) = repair(&form, &Limits::default()) else { panic!("one order helps") };
    let told = tell::added(&form, &added[0], Language::En);
    let expected =
        "Do “Take the door off” after “Let the pressure off”; otherwise: Mix shoots out at the face.";
    assert_eq!(told, expected);
    let order = order(&form, &Limits::default()).expect("a safe run is found without any card");
    assert_eq!(order.edges.len(), 1);
    let told = tell::reason(&form, &order.edges[0], &order.edges[0].reasons[0], Language::Es);
    let expected =
        "Si «Quite la puerta» viniera antes que «Let the pressure off»: La mezcla salta a la cara.";
    assert_eq!(told, expected.replace("Let the pressure off", "Suelte la presión"));
}

/// What the author asks for stays, although the machine does not need it, and keeps the author's reason.
#[test]
fn what_was_asked_for_stays() {
    let mut form = door_and_vent();
    let mut wipe = Event::new("wipe", "wipe", EventKind::Do);
    wipe.pre = vec![1];
    form.events.push(wipe.clone());
    let loose = order(&form, &Limits::default()).expect("there is a safe run");
    assert_eq!(loose.edges.len(), 1, "nothing needs the wiping to come last: {loose:?}");
    let because = words("The rack drips.", "El estante gotea.");
    form.events[2].asked = vec![Asked { before: 1, because: because.clone() }];
    let order = order(&form, &Limits::default()).expect("there is a safe run");
    let edge = order.edges.iter().find(|edge| edge.after == 2).expect("it stays");
    assert_eq!(edge.reasons, [Reason::Asked { because }]);
    assert_eq!(tell::reason(&form, edge, &edge.reasons[0], Language::En), "The rack drips.");
    assert!(was_asked(&form, edge));
    let chain = why_before(&order, 0, 2);
    assert_eq!(chain.iter().map(|edge| (edge.before, edge.after)).collect::<Vec<_>>(), [(0, 1), (1, 2)]);
    assert_eq!(why(&order, 2).len(), 1);
    let state = State::start(&form);
    assert_eq!(why_not(&order, &state, 2).len(), 1);
    assert!(why_not(&order, &state.after(&form, 1), 2).is_empty());
}
