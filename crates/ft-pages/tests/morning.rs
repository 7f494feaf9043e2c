//! The morning's pages in every language: whole, well-formed, without a word that is lacking, and with their answers
//! said in words.

use ft_pages::{
    Answer, Course, Due, DueLine, GlassView, HeldLine, InspectLine, InspectView, Language, LifeLine,
    LotsView, MachineLink, NightLine, OrderLine, Page, PartsView, PeopleView, Person, PersonLine,
    PracticeView, ReasonLine, ReleaseView, ServedLine, ShareLine, Shell, SkillLine, TraceView,
};

fn shell(language: Language, page: Page) -> Shell {
    Shell {
        language,
        page,
        machine: Some("shake freezer".to_owned()),
        person: Some(Person { name: "Marisol".to_owned() }),
        pages: vec![Page::Release, Page::Lots, Page::Practice, Page::People, Page::Parts],
        machines: vec![MachineLink { name: "shake freezer".to_owned(), label: "shake freezer".to_owned() }],
        kitchen: "The kiosk at the end of the pier (invented)".to_owned(),
    }
}

fn reason(key: &str, may_be_overridden: bool) -> ReasonLine {
    ReasonLine {
        key: key.to_owned(),
        sentence: "The draw valve's ring is not to be found.".to_owned(),
        evidence: vec!["Teo at 23:10".to_owned()],
        text: Some("the kitchen's own setting".to_owned()),
        yes_when: "It is found, or a spare takes its place.".to_owned(),
        may_be_overridden,
        overridden: None,
    }
}

fn release_view(may_serve: bool, may_override: bool) -> ReleaseView {
    let reasons = vec![reason("part-missing core ring", false), reason("fault-open f", true)];
    ReleaseView {
        asked: "2026-08-02 07:30".to_owned(),
        answers: vec![Answer {
            machine: "shake freezer".to_owned(),
            label: "shake freezer".to_owned(),
            may_serve,
            reasons: if may_serve { Vec::new() } else { reasons },
            looked_at: 25,
            runs: vec![("r1".to_owned(), "closing".to_owned())],
            said: None,
            may_sign: false,
        }],
        may_override,
        caution: "A person decides.".to_owned(),
    }
}

fn share(lot: &str, share: f64) -> ShareLine {
    ShareLine {
        lot: lot.to_owned(),
        product: Some("mix".to_owned()),
        share,
        age: None,
        is_recalled: lot == "L1",
    }
}

fn lots_view() -> LotsView {
    let held = |place: &str, due, is_vessel| HeldLine {
        place: place.to_owned(),
        label: place.to_owned(),
        is_vessel,
        facts: vec!["4.00 L".to_owned()],
        last_day: Some("2026-08-04".to_owned()),
        decides: "7 days from 2026-07-28".to_owned(),
        due,
        advice: vec!["1.2 doublings predicted".to_owned()],
        shares: vec![share("L1", 0.25), share("<L2>", 0.75)],
    };
    LotsView {
        today: "2026-08-02".to_owned(),
        held: vec![
            held("L9", Due::Now, false),
            held("L8", Due::Today, false),
            held("shake freezer/reservoir", Due::Later, true),
        ],
        duties: vec!["shake freezer: weekly discard".to_owned()],
        vessels: vec![("shake freezer/reservoir".to_owned(), "reservoir".to_owned())],
        products: vec![("mix".to_owned(), "mix".to_owned())],
        places: vec!["cold room".to_owned()],
        shortfalls: vec!["1 L more was drawn".to_owned()],
        prints: true,
        may_write: true,
        may_recall: true,
        caution: "Dates stand.".to_owned(),
    }
}

fn pages(language: Language) -> Vec<(&'static str, String)> {
    let text = |text: &str| text.to_owned();
    let people = PeopleView {
        people: vec![PersonLine {
            name: text("Teo"),
            roles: vec![text("closer"), text("lead")],
            language: text("es"),
            skills: vec![SkillLine {
                skill: text("blades"),
                label: text("blades"),
                is_alone: false,
                why: text("1 of 3"),
            }],
            practice: text("1 of 2 passed"),
            lengths: Some(text("0.9 of the card's")),
        }],
        may_lead: true,
        may_train: true,
        lengths_used: true,
        rules: vec![text("3 times under watch")],
        links: vec![(text("2026-08-09"), text("abc"))],
    };
    let inspected = |lubricant: Option<&str>, seen| InspectLine {
        part: text("core ring"),
        side: Some(text("left")),
        number: Some(2),
        label: text("core ring, left, 2"),
        slot: Some(text("C4")),
        lubricant: lubricant.map(str::to_owned),
        seen,
    };
    let parts = PartsView {
        inspect: vec![
            inspected(Some("food-grade grease"), None),
            inspected(None, Some((true, text("Teo 07:01")))),
            inspected(None, Some((false, text("Teo 07:02")))),
        ],
        due: vec![DueLine {
            part: text("blade"),
            place: text("left"),
            age: text("61 days"),
            due: Some(text("2026-08-01")),
            is_over: true,
            chance: Some(text("12 %")),
        }],
        orders: vec![OrderLine { part: text("blade"), hold: 3, order: 2, why: text("1.4 in 21 days") }],
        lives: vec![LifeLine {
            part: text("blade"),
            told: vec![text("9 of 14 failed")],
            picture: text("<svg></svg>"),
        }],
        kinds: vec![text("blade")],
        left_out: vec![text("row 3")],
        caution: text("A worn part is changed whatever its age."),
        may_write: true,
        may_lead: true,
    };
    let trace = TraceView {
        lot: text("L1"),
        product: Some(text("mix")),
        recalled: Some(text("supplier")),
        sums: vec![(text("came in"), text("10.00 L"))],
        hold_now: vec![(text("reservoir"), text("1.00 L"))],
        places: vec![(text("reservoir"), text("from Monday"))],
        served: vec![ServedLine {
            night: text("2026-08-01"),
            place: text("reservoir"),
            hours: text("18:00–23:00"),
            of: text("4.00 L"),
            litres: text("1.00 L"),
            share: 0.25,
        }],
        made_of: vec![share("L0", 1.0)],
        may_recall: true,
        caution: text("Dates stand."),
    };
    let glass = GlassView {
        label: text("reservoir"),
        at: text("20:00"),
        shares: vec![share("L1", 1.0)],
        caution: text("c"),
    };
    let course = Course {
        machine: text("slicer"),
        procedure: text("closing"),
        label: text("slicer: closing"),
        told: None,
        repeat: vec![text("Guard off")],
        is_due: true,
    };
    let inspector = InspectView {
        until: text("2026-08-09"),
        nights: vec![NightLine { title: text("closing"), signed: None, release: None, packet: text("/x") }],
        leaves: ft_pages::Leaves { path: text("/inspect/x"), older: Some(text("/w")), ..Default::default() },
        lots: (vec![text("L1")], text("/z")),
        record: text("/y"),
        key: Some(text("00ff")),
        chain: text("The chain is whole."),
    };
    let of = |page| shell(language, page);
    vec![
        ("no", ft_pages::release(&of(Page::Release), &release_view(false, true))),
        ("yes", ft_pages::release(&of(Page::Release), &release_view(true, false))),
        ("lots", ft_pages::lots(&of(Page::Lots), &lots_view())),
        ("trace", ft_pages::trace(&of(Page::Lots), &trace)),
        ("glass", ft_pages::glass(&of(Page::Lots), &glass)),
        ("people", ft_pages::people(&of(Page::People), &people)),
        ("parts", ft_pages::parts(&of(Page::Parts), &parts)),
        ("practice", ft_pages::practice(&of(Page::Practice), &PracticeView { courses: vec![course] })),
        ("inspect", ft_pages::inspect(&of(Page::Inspect), &inspector)),
    ]
}

/// `text` gives an ellipsis for a word that is not there; a page of these would show it.
#[test]
fn whole_in_every_language() {
    for language in Language::ALL {
        for (name, page) in pages(language) {
            assert!(!page.contains('…'), "{name} in {} lacks a word", language.code());
            assert!(page.contains(&format!("lang=\"{}\"", language.code())), "{name} says its language");
            // What the policy would not let run is not there.
            assert!(
                !page.contains("style=") && !page.contains("onclick") && !page.contains("<style"),
                "{name}"
            );
            if let Ok(folder) = std::env::var("FULLTRAY_PAGES") {
                std::fs::write(format!("{folder}/{name}.{}.html", language.code()), &page).expect("written");
            }
        }
    }
}

/// Never by colour alone: the answer stands in words.
#[test]
fn a_release_says_its_answer_in_words() {
    let no = ft_pages::release(&shell(Language::English, Page::Release), &release_view(false, false));
    assert!(no.contains("No, not yet") && no.contains("data-answer=\"no\""));
    assert!(no.contains("Nobody can set this aside") && no.contains("A lead may set this aside"));
    let yes = ft_pages::release(&shell(Language::Spanish, Page::Release), &release_view(true, false));
    assert!(yes.contains("Sí, puede servir") && !yes.contains("data-reason"));
}

/// Who may not override is not given the form; who may is given it for those reasons alone that may be.
#[test]
fn only_what_may_be_set_aside_can_be() {
    let of = |may| ft_pages::release(&shell(Language::English, Page::Release), &release_view(false, may));
    assert_eq!(of(false).matches("data-what=\"overridden\"").count(), 0);
    assert_eq!(of(true).matches("data-what=\"overridden\"").count(), 1);
}

/// What has to go stands before what is kept, and names of lots are text, not markup.
#[test]
fn lots_due_stand_first() {
    let page = ft_pages::lots(&shell(Language::English, Page::Lots), &lots_view());
    let at = |what: &str| page.find(what).expect("it is there");
    assert!(
        at("data-due=\"now\"") < at("data-due=\"today\"")
            && at("data-due=\"today\"") < at("data-due=\"later\"")
    );
    assert!(page.contains("&lt;L2&gt;") && !page.contains("<L2>"));
}
