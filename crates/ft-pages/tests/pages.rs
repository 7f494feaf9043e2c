//! Every page in every language: whole documents that hold no script and no style of their own.
//!
//! With `FULLTRAY_PAGES=FOLDER` the documents are also written there, to be looked at.

use ft_pages::{
    EventLine, EventState, FileView, Hand, Language, Leaves, MachineLine, MachineLink, MachineView,
    MissingLine, NightState, Page, Person, PlanRow, ReadingTaken, ReadingWanted, ReadingsView, RecordLine,
    RecordView, RunLine, SetUpView, Shell, SignInView, SignatureLine, Slot, SlotState, StateGroup, StateLine,
    TonightView, TrayView, TrustView,
};

const EVERY: [Page; 14] = [
    Page::Tonight,
    Page::Step,
    Page::Tray,
    Page::Machine,
    Page::Readings,
    Page::Release,
    Page::Lots,
    Page::Practice,
    Page::File,
    Page::People,
    Page::Record,
    Page::SignIn,
    Page::SetUp,
    Page::Trust,
];

fn shell(language: Language, page: Page) -> Shell {
    let is_out = matches!(page, Page::SignIn | Page::SetUp);
    Shell {
        language,
        page,
        machine: page.is_of_machine().then(|| "shake freezer".to_owned()),
        person: (!is_out).then(|| Person { name: "Marisol".into() }),
        pages: EVERY.to_vec(),
        machines: vec![
            MachineLink { name: "shake freezer".into(), label: "shake freezer".into() },
            MachineLink { name: "slicer".into(), label: "slicer".into() },
        ],
        kitchen: "The kiosk at the end of the pier (invented)".into(),
    }
}

fn tonight(language: Language) -> String {
    let view = TonightView {
        procedure: "closing".into(),
        state: NightState::Planned,
        begins: "21:30".into(),
        out: "23:31".into(),
        out_by: Some("00:15".into()),
        chance: Some(97),
        people: vec![
            Hand {
                name: "Marisol".into(),
                is_here: true,
                hours: "21:30 –".into(),
                now: Some("Stop the beater (left)".into()),
            },
            Hand { name: "Teo <script>".into(), is_here: false, hours: "21:30 –".into(), now: None },
        ],
        machines: vec![MachineLine {
            name: "shake freezer".into(),
            label: "shake freezer".into(),
            proof: "proved in every order".into(),
            done: (12, 143),
            laid_out: (3, 66),
        }],
        rows: vec![PlanRow {
            start: "21:30".into(),
            end: "21:31".into(),
            people: vec!["Marisol".into()],
            machine: "shake freezer".into(),
            title: "Stop the beater (left)".into(),
            place: Some("front".into()),
            is_done: true,
        }],
        picture: Some("<svg viewBox=\"0 0 10 10\"></svg>".into()),
        why: vec!["The wash sink is taken.".into()],
        solutions: vec!["40 mL".into()],
        against: vec!["Two slots are empty.".into()],
        next: None,
        may_start: true,
        may_lead: true,
    };
    ft_pages::tonight(&shell(language, Page::Tonight), &view)
}

fn tray(language: Language) -> String {
    let slot = |slot: &str, label: &str, state| Slot {
        slot: slot.into(),
        part: label.into(),
        side: None,
        number: None,
        label: label.into(),
        state,
        seen: (state != SlotState::Empty).then(|| "Teo 22:40".into()),
    };
    let view = TrayView {
        label: "shake freezer".into(),
        picture: None,
        slots: vec![
            slot("A1", "drip tray", SlotState::Full),
            slot("A2", "drip grid", SlotState::Empty),
            slot("A3", "splash shield", SlotState::Missing),
            slot("A4", "cup shelf", SlotState::Fitted),
        ],
        missing: vec![MissingLine {
            label: "splash shield".into(),
            slot: "A3".into(),
            look: vec!["wash sink".into()],
        }],
    };
    ft_pages::tray(&shell(language, Page::Tray), &view)
}

fn machine(language: Language) -> String {
    let event = |title: &str, state| EventLine { title: title.into(), state };
    let view = MachineView {
        name: "shake freezer".into(),
        label: "shake freezer".into(),
        done: (1, 3),
        conflicts: vec!["Two tablets tell it differently.".into()],
        groups: vec![StateGroup {
            title: "Switches".into(),
            lines: vec![StateLine { what: "isolator".into(), is: "on".into() }],
        }],
        events: vec![
            event("Stop the beater", EventState::Done("Teo 21:31".into())),
            event("Stop the pump", EventState::May),
            event("Door off", EventState::Waits(vec!["Let the barrel down".into()])),
        ],
    };
    ft_pages::machine(&shell(language, Page::Machine), &view)
}

/// A cold room that is warm, somebody has been asked, and its broker is away.
fn probes_view() -> ft_pages::ProbesView {
    let alarm = |id: Option<&str>, seen: Option<&str>| ft_pages::AlarmLine {
        id: id.map(str::to_owned),
        is_grave: true,
        sentence: "<cold room> was outside".into(),
        act: "Act now".into(),
        seen: seen.map(str::to_owned),
    };
    ft_pages::ProbesView {
        now_ms: 1_780_350_000_000,
        version: 7,
        away: Some(("21:30".into(), "connection refused".into())),
        folder: Some("no such folder".into()),
        cards: vec![ft_pages::ProbeCard {
            name: "cold room".into(),
            label: "cold room".into(),
            place: "cold room".into(),
            value: Some("6.5 °C".into()),
            unit: "°C".into(),
            at_ms: Some(1_780_349_999_000),
            seen: Some("21:39".into()),
            silent_after_ms: 60_000,
            silent_after: "60 s".into(),
            state: ft_pages::ProbeState::Bad,
            limit: Some("< 5 °C".into()),
            alarms: vec![
                alarm(Some("018f"), None),
                alarm(Some("0190"), Some("Teo 21:40: lid open")),
                alarm(None, None),
            ],
            trend: None,
            source: "pier/cold-room".into(),
            lacking: None,
            counts: "12 readings".into(),
            refusals: Some("P0102: `null` is not a number".into()),
        }],
        caution: "A probe shows its own place.".into(),
    }
}

/// The product checks of one machine.
fn product_view() -> ft_pages::ProductView {
    ft_pages::ProductView {
        machine: "twist machine".into(),
        label: "twist machine".into(),
        lines: vec![ft_pages::ProductLine {
            of: "Overrun".into(),
            label: "Overrun".into(),
            unit: "%".into(),
            within: Some("30..60 %".into()),
            low: Some(30.0),
            high: Some(60.0),
            is_strict: false,
            is_cup: true,
            asks_band: true,
            last: Some("46.7 %, 24 nov 06:10, Teo".into()),
            is_good: Some(true),
            drift: Some("It drifts.".into()),
            trend: None,
        }],
    }
}

fn readings(language: Language) -> String {
    let view = ReadingsView {
        wanted: vec![ReadingWanted {
            of: "sanitiser".into(),
            label: "sanitiser".into(),
            machine: Some("shake freezer".into()),
            unit: "mg/L".into(),
            within: Some("100..200 mg/L".into()),
            low: Some(100.0),
            high: Some(200.0),
            is_strict: false,
        }],
        taken: vec![ReadingTaken {
            label: "sanitiser".into(),
            value: "150 mg/L".into(),
            is_good: Some(true),
            within: Some("100..200 mg/L".into()),
            seen: "Teo 22:10".into(),
        }],
        charts: vec![],
        probes: Some(probes_view()),
        product: vec![product_view()],
    };
    ft_pages::readings(&shell(language, Page::Readings), &view)
}

fn record(language: Language) -> String {
    let line = |seq, is_corrected, conflict: Option<&str>| RecordLine {
        seq,
        id: format!("id-{seq}"),
        at: "21:31:07".into(),
        who: Some("Teo".into()),
        machine: Some("shake freezer".into()),
        what: "Stop the beater (left)".into(),
        is_corrected,
        conflict: conflict.map(str::to_owned),
    };
    let view = RecordView {
        runs: vec![RunLine { run: "r1".into(), title: "closing".into(), is_signed: true, is_shown: true }],
        run: Some("r1".into()),
        title: "closing".into(),
        lines: vec![line(1, false, None), line(2, true, None), line(3, false, Some("It waits."))],
        leaves: Leaves {
            path: "/record".into(),
            day: "2026-11-25".into(),
            older: Some("/record?before=1".into()),
            newer: Some("/record?after=3".into()),
            ..Leaves::default()
        },
        signatures: vec![SignatureLine { text: "Marisol signed as lead at 23:40".into() }],
        chain: "The chain is whole.".into(),
        head: "ab12".repeat(16),
    };
    ft_pages::record(&shell(language, Page::Record), &view)
}

fn every(language: Language) -> Vec<(&'static str, String)> {
    let of = |page| shell(language, page);
    let text = "machine \"a\" {\n}\n".to_owned();
    let people = vec!["Marisol".to_owned(), "Teo".to_owned()];
    vec![
        ("tonight", tonight(language)),
        ("step", ft_pages::step(&of(Page::Step))),
        ("tray", tray(language)),
        ("machine", machine(language)),
        ("readings", readings(language)),
        ("record", record(language)),
        (
            "file",
            ft_pages::file(
                &of(Page::File),
                &FileView { label: "a".into(), name: "a.machine.kdl".into(), text },
            ),
        ),
        (
            "sign-in",
            ft_pages::sign_in(&of(Page::SignIn), &SignInView { people: people.clone(), next: "/".into() }),
        ),
        ("set-up", ft_pages::set_up(&of(Page::SetUp), &SetUpView { people })),
        (
            "trust",
            ft_pages::trust(
                &of(Page::Trust),
                &TrustView {
                    is_secure: false,
                    address: Some("https://kiosk.local:8443/".into()),
                    code: None,
                    fingerprint: Some("AB CD".into()),
                    certificate: Some("/trust/ca.crt".into()),
                },
            ),
        ),
        (
            "problem",
            ft_pages::problem(&of(Page::Tonight), "S0404", "There is no such page", "Go to tonight."),
        ),
    ]
}

#[test]
fn whole_documents_in_every_language() {
    for language in Language::ALL {
        for (name, page) in every(language) {
            let name = format!("{name}-{}", language.code());
            assert!(page.starts_with("<!DOCTYPE html>"), "{name}");
            assert!(page.contains(&format!("<html lang=\"{}\" dir=\"ltr\">", language.code())), "{name}");
            assert_eq!(
                page.matches("<h1>").count() + page.matches("id=\"step\"").count(),
                1,
                "{name} has one heading"
            );
            assert!(
                !page.contains('…') || name.starts_with("step") || name.starts_with("file"),
                "{name} lacks a word"
            );
            assert_eq!(
                page.matches("<script").count(),
                page.matches("<script type=\"module\" src=").count(),
                "{name}"
            );
            for inline in [" style=", "<style", " onclick", " onload", "javascript:"] {
                assert!(!page.contains(inline), "{name} holds `{inline}`, which the policy forbids");
            }
            for path in page.split("src=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
                assert!(ft_pages::asset(path).is_some(), "{name} asks for {path}");
            }
            if let Some(folder) = std::env::var_os("FULLTRAY_PAGES") {
                std::fs::write(std::path::Path::new(&folder).join(format!("{name}.html")), page)
                    .expect("written");
            }
        }
    }
}

/// What comes from a file or from people is text, never markup.
#[test]
fn names_are_escaped() {
    let page = tonight(Language::English);
    assert!(page.contains("Teo &lt;script&gt;") && !page.contains("<script>"));
}

#[test]
fn machine_names_as_paths() {
    assert_eq!(ft_pages::path_segment("shake freezer/ñ"), "shake%20freezer%2F%C3%B1");
    assert!(tray(Language::English).contains("href=\"/tray/shake%20freezer\" aria-current=\"page\""));
}
