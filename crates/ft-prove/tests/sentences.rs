//! Every kind of sentence that a reader gets, whole and in both languages.

use ft_form::walk::State;
use ft_form::{Allowed, Cond, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_prove::live::{Cause, why_not_yet};
use ft_prove::tell::{self, Language};
use ft_prove::{Added, Flaw, FlawKind, Limits, NoOrder, OrderEdge, Reason, Repair, order, repair};

const BOTH: [Language; 2] = [Language::En, Language::Es];

fn words(en: &str, es: &str) -> Words {
    Words::from([("en".to_string(), en.to_string()), ("es".to_string(), es.to_string())])
}

fn var(kind: VarKind, hi: i32, init: i32, vals: &[&str], words: Words) -> Var {
    let name = words["en"].replace(' ', "_");
    let vals = vals.iter().map(|value| (*value).to_string()).collect();
    Var { name, lo: 0, hi, init, kind, vals, words }
}

fn event(name: &str, guard: &[Allowed], eff: &[(usize, Op, i32)], words: Words) -> Event {
    let mut event = Event::new(name, name, EventKind::Do);
    event.guard = guard.to_vec();
    event.eff = eff.iter().map(|&(var, op, c)| Effect { when: Cond::new(), var, op, c }).collect();
    event.words = words;
    event
}

const fn part(var: usize, mask: u64) -> Allowed {
    Allowed { var, mask }
}

const LID: usize = 0;
const CUPS: usize = 1;
const BUCKET: usize = 2;

/// A lid with words for its values, cups that are counted, and a bucket.
fn form() -> Form {
    let vars = vec![
        var(VarKind::Enum, 2, 0, &["on", "ajar", "off"], words("the lid", "la tapa")),
        var(VarKind::Num, 5, 0, &[], words("cups", "vasos")),
        var(VarKind::Res, 1, 1, &[], words("the bucket", "el cubo")),
    ];
    let events = vec![
        event("lift", &[], &[(LID, Op::Set, 2)], words("Lift the lid", "Levante la tapa")),
        event("fill", &[part(LID, 4)], &[(CUPS, Op::Add, 2)], words("Fill two cups.", "Llene dos vasos.")),
    ];
    let hazard = Hazard {
        id: "spill".into(),
        on: None,
        when: vec![part(LID, 4)],
        words: words("It spills.", "Se derrama."),
        origin: None,
    };
    let mut form = Form { people: 1, vars, events, hazards: vec![hazard], ..Form::default() };
    form.value_words.insert("the_lid: off".into(), words("right off", "quitada"));
    assert_eq!(form.problems(), Vec::<String>::new());
    form
}

fn both(tell: impl Fn(Language) -> String) -> [String; 2] {
    BOTH.map(tell)
}

#[test]
fn a_condition_names_what_it_allows() {
    let form = form();
    let needs = |var, mask| both(|language| tell::need(&form, part(var, mask), language));
    assert_eq!(needs(LID, 0b100), ["the lid is right off", "la tapa esté en «quitada»"]);
    assert_eq!(needs(LID, 0b011), ["the lid is on or ajar", "la tapa esté en «on» o «ajar»"]);
    assert_eq!(
        needs(LID, 0b111),
        ["the lid is on, ajar or right off", "la tapa esté en «on», «ajar» o «quitada»"]
    );
    assert_eq!(needs(LID, 0), ["the lid is never right", "la tapa esté en nunca correcto"]);
    assert_eq!(needs(CUPS, 0b100), ["cups is 2", "vasos esté en 2"]);
    assert_eq!(needs(CUPS, 0b11_1100), ["cups is at least 2", "vasos esté en al menos 2"]);
    assert_eq!(needs(CUPS, 0b00_0111), ["cups is at most 2", "vasos esté en como mucho 2"]);
    assert_eq!(needs(CUPS, 0b00_0110), ["cups is 1 or 2", "vasos esté en 1 o 2"]);
    assert_eq!(needs(CUPS, 0b10_1001), ["cups is 0, 3 or 5", "vasos esté en 0, 3 o 5"]);
    assert_eq!(needs(CUPS, 0b10_0010), ["cups is 1 or 5", "vasos esté en 1 o 5"]);
}

#[test]
fn a_count_below_nothing_is_named_too() {
    let mut form = form();
    form.vars[CUPS].lo = -2;
    assert_eq!(tell::need(&form, part(CUPS, 0b11), Language::En), "cups is at most -1");
    assert_eq!(tell::need(&form, part(CUPS, 0b1100_0000), Language::En), "cups is at least 4");
}

#[test]
fn each_reason_has_its_sentence() {
    let form = form();
    let edge = OrderEdge { before: 0, after: 1, reasons: Vec::new() };
    let told = |reason: Reason| both(|language| tell::reason(&form, &edge, &reason, language));
    assert_eq!(
        told(Reason::Enables { part: part(LID, 4) }),
        [
            "“Fill two cups.” needs that the lid is right off; “Lift the lid” sees to that.",
            "«Llene dos vasos.» necesita que la tapa esté en «quitada»; de eso se ocupa «Levante la tapa»."
        ]
    );
    assert_eq!(
        told(Reason::Protects { hazard: Some(0), part: None }),
        [
            "If “Fill two cups.” came before “Lift the lid”: It spills.",
            "Si «Llene dos vasos.» viniera antes que «Levante la tapa»: Se derrama."
        ]
    );
    assert_eq!(
        told(Reason::Protects { hazard: None, part: Some(part(LID, 1)) }),
        [
            "If “Fill two cups.” came before “Lift the lid”, it would spoil that the lid is on.",
            "Si «Llene dos vasos.» viniera antes que «Levante la tapa», estropearía que la tapa esté en «on»."
        ]
    );
    assert_eq!(
        told(Reason::Protects { hazard: None, part: None }),
        [
            "If “Fill two cups.” came before “Lift the lid”, the work could not be finished.",
            "Si «Llene dos vasos.» viniera antes que «Levante la tapa», no se podría terminar."
        ]
    );
    assert_eq!(
        told(Reason::Kit { var: BUCKET }),
        [
            "Otherwise somebody would stand waiting with the bucket.",
            "Si no, alguien se quedaría esperando con el cubo."
        ]
    );
    assert_eq!(
        told(Reason::SameStep),
        [
            "“Fill two cups.” ends what “Lift the lid” begins.",
            "«Llene dos vasos.» termina lo que «Levante la tapa» empieza."
        ]
    );
    assert_eq!(
        told(Reason::Asked { because: words("So it was asked.", "Así se pidió.") }),
        ["So it was asked.", "Así se pidió."]
    );
}

#[test]
fn each_order_of_a_repair_has_its_sentence() {
    let form = form();
    let told = |prevents| {
        let added = Added { before: 0, after: 1, prevents, story: Vec::new() };
        both(|language| tell::added(&form, &added, language))
    };
    let with = |en: &str, es: &str| {
        [
            format!("Do “Fill two cups.” after “Lift the lid”; otherwise: {en}"),
            format!("Haga «Llene dos vasos.» después de «Levante la tapa»; si no: {es}"),
        ]
    };
    assert_eq!(told(FlawKind::Hazard(0)), with("It spills.", "Se derrama."));
    assert_eq!(told(FlawKind::Deadlock), with("nobody could go on.", "nadie podría seguir."));
    assert_eq!(told(FlawKind::Goal), with("the goal would be missed.", "no se alcanzaría la meta."));
}

#[test]
fn each_flaw_has_its_sentences() {
    let mut form = form();
    let told = |form: &Form, kind, story: &[usize]| {
        let flaw = Flaw { kind, story: story.to_vec() };
        BOTH.map(|language| tell::flaw(form, &flaw, language))
    };
    let [en, es] = told(&form, FlawKind::Hazard(0), &[0]);
    assert_eq!(en, ["1. Lift the lid.", "Now: the lid = right off.", "It spills."]);
    assert_eq!(es, ["1. Levante la tapa.", "Ahora: la tapa = quitada.", "Se derrama."]);
    let [en, es] = told(&form, FlawKind::Deadlock, &[]);
    assert_eq!(en, ["“Fill two cups.” waits until the lid is right off; it is on.", "Nobody can go on."]);
    assert_eq!(
        es,
        [
            "«Llene dos vasos.» espera hasta que la tapa esté en «quitada»; ahora está en «on».",
            "Nadie puede seguir."
        ]
    );
    form.goal = vec![part(LID, 4), part(CUPS, 0b11_1000)];
    let [en, es] = told(&form, FlawKind::Goal, &[0, 1]);
    assert_eq!(
        en,
        [
            "1. Lift the lid.",
            "2. Fill two cups.",
            "Now: cups = 2.",
            "Everything is done, but cups should be at least 3."
        ]
    );
    assert_eq!(
        es,
        [
            "1. Levante la tapa.",
            "2. Llene dos vasos.",
            "Ahora: vasos = 2.",
            "Todo está hecho, pero vasos debería ser al menos 3."
        ]
    );
    // A hazard on an event is looked at before the event, and one on nothing else has no state to show.
    form.hazards[0].on = Some(0);
    form.hazards[0].when = vec![part(LID, 1)];
    let [en, _] = told(&form, FlawKind::Hazard(0), &[0]);
    assert_eq!(en, ["1. Lift the lid.", "Now: the lid = on.", "It spills."]);
    form.hazards[0].when = Vec::new();
    let [en, _] = told(&form, FlawKind::Hazard(0), &[0]);
    assert_eq!(en, ["1. Lift the lid.", "It spills."]);
}

#[test]
fn a_side_is_named_once() {
    let mut form = form();
    let told = |form: &Form| {
        tell::flaw(form, &Flaw { kind: FlawKind::Hazard(0), story: vec![0] }, Language::En)[0].clone()
    };
    form.events[0].side = Some("left".into());
    assert_eq!(told(&form), "1. left: Lift the lid.");
    form.events[0].step = "Lift the lid (left)".into();
    assert_eq!(told(&form), "1. Lift the lid.");
    form.events[0].step = "left)".into();
    assert_eq!(told(&form), "1. left: Lift the lid.");
    // An answer of the world is never called after a step.
    form.events[0].step = "Lift the lid (left)".into();
    form.events[0].nature = true;
    assert_eq!(told(&form), "1. left: Lift the lid.");
    form.events[0].words = Words::new();
    assert_eq!(told(&form), "1. lift.");
    for end in ["!", "?", "."] {
        form.events[0].words = words(&format!("Stop{end}"), "");
        form.events[0].side = None;
        assert_eq!(told(&form), format!("1. Stop{end}"));
    }
}

#[test]
fn each_cause_of_waiting_has_its_sentence() {
    let mut form = form();
    let state = State::start(&form);
    let told = |cause: &Cause| both(|language| tell::cause(&form, cause, language));
    let causes = why_not_yet(&form, &state, 1);
    assert_eq!(causes, [Cause::Blocked { part: part(LID, 4), makers: vec![0] }]);
    assert_eq!(
        told(&causes[0]),
        [
            "It needs that the lid is right off: Lift the lid.",
            "Necesita que la tapa esté en «quitada»: Levante la tapa."
        ]
    );
    assert_eq!(
        told(&Cause::Blocked { part: part(LID, 4), makers: vec![0, 1] })[0],
        "It needs that the lid is right off: Lift the lid; Fill two cups.."
    );
    assert_eq!(
        told(&Cause::Blocked { part: part(LID, 4), makers: vec![] }),
        [
            "It needs that the lid is right off, and nothing that is left sees to that.",
            "Necesita que la tapa esté en «quitada», y nada de lo que queda se ocupa de eso."
        ]
    );
    assert_eq!(told(&why_not_yet(&form, &state, 0)[0]), ["It spills.", "Se derrama."]);
    assert_eq!(told(&Cause::Waits(0)), ["“Lift the lid” comes first.", "Antes va «Levante la tapa»."]);
    form.events[1].pre = vec![0];
    assert_eq!(why_not_yet(&form, &state, 1), [Cause::Waits(0)]);
}

#[test]
fn a_language_is_read_from_its_code() {
    assert_eq!(["es", "es-MX", "es_ES", "en", "est", "fr", ""].map(Language::of), {
        let (en, es) = (Language::En, Language::Es);
        [es, es, es, en, en, en, en]
    });
    let mut form = form();
    form.vars[LID].words.remove("es");
    assert_eq!(tell::var(&form, LID, Language::Es), "the lid", "English where there is no Spanish");
    form.vars[LID].words.clear();
    assert_eq!(tell::var(&form, LID, Language::Es), "the_lid", "the name where there is neither");
    assert_eq!(tell::hazard(&form, 0, Language::Es), "Se derrama.");
}

/// What is in the way where no run is safe.
fn in_the_way(form: &Form) -> Vec<String> {
    assert_eq!(form.problems(), Vec::<String>::new());
    match order(form, &Limits::default()) {
        Err(NoOrder::Unsafe { missing }) => missing,
        other => panic!("no run is safe: {other:?}"),
    }
}

#[test]
fn what_keeps_every_run_from_being_safe_is_said() {
    assert_eq!(
        in_the_way(&form()),
        ["`lift` always leads to `spill`", "`fill` cannot be done while `the_lid` is on"]
    );
    let mut start = form();
    start.vars[LID].init = 2;
    assert_eq!(in_the_way(&start), ["`spill` holds before anything has happened"]);
    // A hazard that an event alone would show holds nowhere before.
    let mut on = form();
    on.hazards[0].on = Some(1);
    assert_eq!(in_the_way(&on), ["`fill` always leads to `spill`"]);
    let mut goal = form();
    goal.hazards.clear();
    goal.goal = vec![part(LID, 4), part(CUPS, 0b11_1000)];
    assert_eq!(in_the_way(&goal), ["nothing brings `cups` to its goal; it stays 2"]);
    // The furthest run speaks: lift and fill are done, and a third event is in the way.
    let mut third = form();
    third.hazards[0].when = vec![part(CUPS, 0b10_0000)];
    third.events.push(event("more", &[part(CUPS, 0b01_0000)], &[(CUPS, Op::Add, 3)], words("More", "Más")));
    assert_eq!(in_the_way(&third), ["`more` cannot be done while `cups` is 2"]);
    let Repair::Impossible { missing } = repair(&third, &Limits::default()) else { panic!("no order helps") };
    assert_eq!(missing, ["`more` can never be done: nothing brings `cups` to what it needs"]);
}
