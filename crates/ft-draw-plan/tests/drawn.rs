//! What is drawn can be read back: nothing is lost and nothing breaks the format.

use ft_draw_plan::{Clock, calendar, svg, text};
use ft_night::{Assignment, Person, Phase, Place, Plan, Problem, Score, Task, Word, Words};

fn kitchen() -> (Problem, Plan) {
    let title = |en: &str| Words::from([("en".to_owned(), en.to_owned())]);
    let step = |en: &str| Task {
        title: title(en),
        phases: vec![Phase { hands_s: 600, people: 1, ..Phase::default() }],
        ..Task::default()
    };
    let problem = Problem {
        name: "Tuesday <late>".to_owned(),
        places: vec![Place::default()],
        people: vec![Person { name: "Ana".to_owned(), ..Person::default() }],
        tasks: vec![step("Door off; rings & core, all of them, into the tray beside the sink"), step("Wipe")],
        ..Problem::default()
    };
    let one = |task: usize, start_s| Assignment {
        task,
        start_s,
        end_s: start_s + 600,
        people: vec![0],
        ..Assignment::default()
    };
    let score = Score { ends_at_s: 1500, ..Score::default() };
    let plan =
        Plan { word: Word::Feasible, assignments: vec![one(0, 0), one(1, 900)], score, ..Plan::default() };
    (problem, plan)
}

const CLOCK: Clock = Clock { begins_at_s: 23 * 3600 + 50 * 60 };

#[test]
fn text_has_a_picture_and_a_list() {
    let (problem, plan) = kitchen();
    let drawn = text(&problem, &plan, CLOCK, "en", 60);
    assert!(drawn.lines().take(2).all(|line| line.chars().count() <= 66), "{drawn}");
    assert!(drawn.contains("Ana 1██"), "{drawn}");
    assert!(drawn.contains("  00:05    2  Wipe"), "{drawn}");
}

/// The tags of the document close in the order in which they open, and no bare `&` or `<` of a title is left.
#[test]
fn svg_is_well_formed() {
    let (problem, plan) = kitchen();
    let drawn = svg(&problem, &plan, CLOCK, "en", 800);
    let mut open = Vec::new();
    for tag in drawn.split('<').skip(1) {
        let (tag, _) = tag.split_once('>').expect("every tag ends");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name), "{drawn}");
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().expect("a tag has a name"));
        }
    }
    assert!(
        open.is_empty() && drawn.contains("Tuesday &lt;late&gt;") && drawn.contains("rings &amp; core"),
        "{drawn}"
    );
}

/// Source: RFC 5545, 3.1 (folding at 75 octets) and 3.3.11 (escapes). The night goes on past midnight into a new year.
#[test]
fn calendar_folds_escapes_and_passes_midnight() {
    let (problem, plan) = kitchen();
    let drawn = calendar(&problem, &plan, CLOCK, (2026, 12, 31), "20261231T120000Z", "en", None);
    assert!(drawn.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')), "{drawn}");
    let unfolded = drawn.replace("\r\n ", "");
    assert!(unfolded.contains(
        "SUMMARY:Ana: Door off\\; rings & core\\, all of them\\, into the tray beside the sink\r\n"
    ));
    assert!(unfolded.contains("DTSTART:20270101T000500\r\n"), "{unfolded}");
}
