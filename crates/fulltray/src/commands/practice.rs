//! `fulltray practice`: the trainee chooses, in the terminal or from a script on standard input.

use std::io::{BufRead as _, IsTerminal as _};

use ft_app::morning::practice_form;
use ft_practice::{Score, Session};
use ft_record::{Event, Fact, Practice};
use serde::Serialize;

use super::{out, out_json};
use crate::args::morning::PracticeArgs;
use crate::exit::{Answer, Failure};
use crate::{input, record};

/// A finished session.
#[derive(Serialize)]
struct PracticeView {
    who: String,
    procedure: String,
    #[serde(flatten)]
    score: Score,
    /// Whether the script or the person ended before everything was done.
    left_early: bool,
}

/// Runs a session; one that is not passed is a no, one that was left is unfinished.
pub fn run(args: &PracticeArgs) -> Result<Answer, Failure> {
    let source = input::text(&args.file)?;
    let course = practice_form(&source, args.procedure.as_deref(), &args.fitted)
        .map_err(|trouble| Failure::Text(source, trouble))?;
    let mut session = Session::new(&course.form, &course.free, args.seed);
    let left_early = !ask(args, &mut session)?;
    let (who, procedure) = (args.who.clone(), course.procedure.clone());
    let view = PracticeView { who, procedure, score: session.score(), left_early };
    if args.json {
        out_json(&view)?;
    } else {
        out(&ended(&view, args.language == "es"))?;
    }
    if let (Some(place), false) = (&args.store, left_early) {
        let machine = args.machine.clone().unwrap_or(course.machine);
        write(place, machine, session.practice(&args.who, &view.procedure))?;
    }
    Ok(match (left_early, view.score.passed) {
        (true, _) => Answer::Unfinished,
        (false, true) => Answer::Yes,
        (false, false) => Answer::No,
    })
}

/// Asks until everything is done; false where the answers ended before.
fn ask(args: &PracticeArgs, session: &mut Session<'_>) -> Result<bool, Failure> {
    let say = |text: &str| if args.json { Ok(()) } else { out(text) };
    let mut lines = std::io::stdin().lock().lines();
    let spanish = args.language == "es";
    while !session.is_finished() {
        let offer = session.offer();
        let mut text = format!("\n{}\n", if spanish { "¿Qué toca ahora?" } else { "What comes next?" });
        for (index, event) in offer.iter().enumerate() {
            text.push_str(&format!("  {}  {}\n", index + 1, session.step(*event)));
        }
        if std::io::stdin().is_terminal() {
            text.push_str("> ");
        }
        say(&text)?;
        let Some(Ok(line)) = lines.next() else { return Ok(false) };
        let line = line.trim();
        let numbered = line.parse::<usize>().ok().and_then(|n| offer.get(n.checked_sub(1)?).copied());
        let Some(event) = numbered.or_else(|| session.find(line)) else {
            say(if spanish {
                "Escriba un número de la lista o el nombre de un paso.\n"
            } else {
                "Write a number of the list or the name of a step.\n"
            })?;
            continue;
        };
        let told = session.choose(event, &args.language);
        let words = session.words(event, &args.language);
        let line = match (told.right, spanish) {
            (true, false) => format!("Right. {words}\n"),
            (true, true) => format!("Bien. {words}\n"),
            (false, _) => told.why.iter().fold(String::new(), |said, why| said + why + "\n"),
        };
        say(&line)?;
    }
    Ok(true)
}

fn ended(view: &PracticeView, spanish: bool) -> String {
    let score = &view.score;
    let word = match (view.left_early, score.passed, spanish) {
        (true, _, false) => "Left before the end",
        (true, _, true) => "Sin terminar",
        (false, true, false) => "PASSED",
        (false, true, true) => "APROBADO",
        (false, false, false) => "Not passed",
        (false, false, true) => "No aprobado",
    };
    let mut text = format!("\n{word}: {} of {} right.\n", score.right, score.moves);
    if spanish {
        text = format!("\n{word}: {} de {} bien.\n", score.right, score.moves);
    }
    for (step, count) in &score.slips {
        text.push_str(&format!("  {count} × {step}\n"));
    }
    text
}

/// Appends the result to the record.
fn write(place: &str, machine: String, session: Practice) -> Result<(), Failure> {
    let store = ft_store::Store::open(place).map_err(|error| record::bad_store(&error))?;
    let now = jiff::Timestamp::now().as_millisecond();
    let id = uuid::Uuid::now_v7().to_string();
    let event = Event {
        v: ft_record::VERSION,
        // Each session is a device of its own with one event.
        device: format!("practice-{id}"),
        id,
        order: 1,
        at_ms: now,
        zone: "UTC".into(),
        person: Some(session.who.clone()),
        run: None,
        machine: Some(machine),
        fact: Fact::Practised { session },
    };
    store.append(vec![event], now).map_err(|error| record::bad_store(&error))?;
    Ok(())
}
