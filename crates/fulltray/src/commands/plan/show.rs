//! Tonight's plan as text for a terminal, no wider than a page.

use std::fmt::Write as _;

use ft_app::tonight::{Row, TonightView};

use crate::args::PlanArgs;

/// Everything that is shown, in the order in which a crew asks.
pub fn text(view: &TonightView, args: &PlanArgs) -> String {
    let mut text = String::new();
    let es = args.language == "es";
    let say = |en: &'static str, es_text: &'static str| if es { es_text } else { en };
    let _ = writeln!(text, "{}\n", view.kitchen);
    proved(&mut text, view, es);
    if view.rows.is_empty() {
        no_plan(&mut text, view, es);
        return text;
    }
    timeline(&mut text, view, es);
    for (person, name) in view.people.iter().enumerate() {
        let _ = writeln!(text, "\n{name}");
        for row in view.rows.iter().filter(|row| row.people.contains(&person)) {
            line(&mut text, view, row);
        }
    }
    let _ = writeln!(text, "\n{}", say("Goes on alone", "Sigue solo"));
    for row in view.rows.iter().filter(|row| row.people.is_empty()) {
        line(&mut text, view, row);
    }
    let _ = writeln!(
        text,
        "\n{}",
        say(
            "Wash loads: plastic apart from metal, what cuts alone",
            "Tandas de lavado: plástico y metal aparte, lo cortante solo"
        )
    );
    for load in &view.loads {
        let _ =
            writeln!(text, "  {} to {}  {}", clock(view, load.start_s), clock(view, load.end_s), load.title);
        wrapped(&mut text, &load.parts.join(", "), "      ");
    }
    let _ = writeln!(text, "\n{}", say("To mix", "Preparar"));
    for mixed in &view.solutions {
        let _ = writeln!(text, "  {}, {}: {}", mixed.machine, mixed.solution, mixed.how);
    }
    summary(&mut text, view, es);
    let _ = writeln!(
        text,
        "\n{}",
        say(
            "Local code, the equipment's own instructions and the label come first; this plan advises people.",
            "Primero van las normas locales, las instrucciones del equipo y la etiqueta; este plan solo aconseja."
        )
    );
    next(&mut text, args, es);
    text
}

/// Why there is no plan, and what would have to give way.
fn no_plan(text: &mut String, view: &TonightView, es: bool) {
    let head = match (view.word == "impossible", es) {
        (true, false) => "Proved: no plan keeps every rule.",
        (true, true) => "Probado: ningún plan cumple todas las reglas.",
        (false, false) => {
            "No plan was found in the time given. That none exists was not proved: allow more with `--seconds` and `--work`."
        }
        (false, true) => {
            "No se encontró un plan en el tiempo dado. No está probado que no exista: permita más con `--seconds` y `--work`."
        }
    };
    text.push('\n');
    wrapped(text, head, "");
    for sentence in &view.conflict {
        wrapped(text, sentence, "  ");
    }
    let Some(conflict) = &view.give_up else { return };
    let head = match (conflict.proved, es) {
        (true, false) => "These wishes cannot be together; one of them has to give way:",
        (true, true) => "Estos deseos no caben juntos; uno tiene que ceder:",
        (false, false) => "No plan was found that keeps these wishes together; what would help:",
        (false, true) => "No se encontró un plan que cumpla estos deseos juntos; qué ayudaría:",
    };
    let _ = writeln!(text, "\n{head}");
    for give in &conflict.wishes {
        let by = match (give.by_s, es) {
            (Some(by_s), false) => format!("{} min would be enough", by_s.max(0).unsigned_abs().div_ceil(60)),
            (Some(by_s), true) => format!("bastarían {} min", by_s.max(0).unsigned_abs().div_ceil(60)),
            (None, false) => "giving up this one alone was not found to help".to_owned(),
            (None, true) => "no se vio que ceder solo en este ayude".to_owned(),
        };
        wrapped(text, &format!("{}: {by}", give.wish), "  ");
    }
}

fn proved(text: &mut String, view: &TonightView, es: bool) {
    for machine in &view.machines {
        let _ = if es {
            writeln!(
                text,
                "  probado  {}: {} sucesos, {} órdenes necesarios",
                machine.name, machine.events, machine.orders
            )
        } else {
            writeln!(
                text,
                "  proved   {}: {} events, {} orders that are needed",
                machine.name, machine.events, machine.orders
            )
        };
    }
}

/// One lane for each person, a character for each minute or so.
fn timeline(text: &mut String, view: &TonightView, es: bool) {
    const WIDTH: u32 = 76;
    let end = view.out_s.max(1);
    let _ = writeln!(text);
    let label = view.people.iter().map(|name| name.chars().count()).max().unwrap_or(0).max(5);
    let step = end.div_ceil(WIDTH).max(1);
    let columns = end.div_ceil(step);
    let mut lane = |name: &str, test: &dyn Fn(&Row) -> bool| {
        let mut marks = String::new();
        for column in 0..columns {
            let (from, to) = (column * step, (column + 1) * step);
            let busy = view.rows.iter().filter(|row| test(row) && row.start_s < to && from < row.end_s);
            let mark =
                busy.fold(' ', |mark, row| if row.load { if mark == '█' { '█' } else { '▒' } } else { '█' });
            marks.push(if mark == ' ' { '·' } else { mark });
        }
        let _ = writeln!(text, "  {name:label$} {marks}");
    };
    for (person, name) in view.people.iter().enumerate() {
        lane(name, &|row: &Row| row.people.contains(&person));
    }
    lane(if es { "solo" } else { "alone" }, &|row: &Row| row.people.is_empty());
    let (from, to) = (clock(view, 0), clock(view, end));
    let gap = (columns as usize).saturating_sub(10);
    let key =
        if es { "█ pasos  ▒ tandas de lavado  · libre" } else { "█ steps  ▒ wash loads  · free" };
    let _ = writeln!(text, "  {:label$} {from}{:gap$}{to}\n  {:label$} {key}", "", "", "");
}

fn line(text: &mut String, view: &TonightView, row: &Row) {
    let minutes = f64::from(row.end_s - row.start_s) / 60.0;
    let part =
        if row.phase.1 > 1 { format!(" ({}/{})", row.phase.0 + 1, row.phase.1) } else { String::new() };
    let with = match row.people.len() {
        0 | 1 => String::new(),
        _ => format!(
            " [{}]",
            row.people.iter().map(|person| view.people[*person].as_str()).collect::<Vec<_>>().join(" + ")
        ),
    };
    let _ = writeln!(
        text,
        "  {}  {minutes:4.1} min  {}{part}{with}  · {}",
        clock(view, row.start_s),
        row.title,
        row.place
    );
}

fn summary(text: &mut String, view: &TonightView, es: bool) {
    let out = clock(view, view.out_s);
    let bound = clock(view, view.lower_bound_s);
    let known = match (view.word, es) {
        ("best", false) => "proved: nothing ends earlier".to_owned(),
        ("best", true) => "probado: nada termina antes".to_owned(),
        (_, false) => format!("nothing can end before {bound}"),
        (_, true) => format!("nada puede terminar antes de las {bound}"),
    };
    let _ = if es {
        writeln!(text, "\nFuera a las {out} ({known}).")
    } else {
        writeln!(text, "\nOut at {out} ({known}).")
    };
    if let Some(deadline) = view.deadline_s {
        let by = clock(view, deadline);
        let _ = if es {
            writeln!(text, "  Hay que salir a las {by}.")
        } else {
            writeln!(text, "  Everybody has to be out at {by}.")
        };
    }
    if let Some(odds) = view.odds {
        let (half, most) = (clock(view, odds.p50_s as u32), clock(view, odds.p90_s as u32));
        let share = odds.by_deadline.map(|share| format!("{:.0} %", share * 100.0));
        let _ = if es {
            writeln!(
                text,
                "  La mitad de las noches a las {half}, nueve de diez a las {most}{}.",
                share.map_or(String::new(), |s| format!("; a tiempo: {s}"))
            )
        } else {
            writeln!(
                text,
                "  Half of such nights end by {half}, nine in ten by {most}{}.",
                share.map_or(String::new(), |s| format!("; in time: {s}"))
            )
        };
    }
    for baseline in &view.baselines {
        let Some(ends) = baseline.ends_s else { continue };
        let saved = (f64::from(ends) - f64::from(view.out_s)) / 60.0;
        let at = clock(view, ends);
        let _ = if es {
            writeln!(
                text,
                "  La tarjeta en fila, {}: fuera a las {at}. Ahorro: {saved:.0} min.",
                people(baseline.people, true)
            )
        } else {
            writeln!(
                text,
                "  The card in a line, {}: out at {at}. Saved: {saved:.0} min.",
                people(baseline.people, false)
            )
        };
    }
    let _ = writeln!(text, "\n{}", if es { "Lo que retrasa el final" } else { "What holds it back" });
    let last = view.holds_back.len().saturating_sub(5);
    for sentence in view.holds_back[last..].iter().chain(view.waits.iter().take(2)) {
        wrapped(text, sentence, "  ");
    }
    more_hands(text, view, es);
}

fn more_hands(text: &mut String, view: &TonightView, es: bool) {
    let Some(more) = view.more_hands else { return };
    let (at, minutes) = (clock(view, more.out_s), more.earlier_s / 60);
    let line = match (minutes, es) {
        (0, false) => "One more pair of hands that can do everything: nothing earlier was found.".to_owned(),
        (0, true) => "Un par de manos más que sepa todo: no se encontró nada antes.".to_owned(),
        (_, false) => format!(
            "One more pair of hands that can do everything: out at {at} at the latest, {minutes} min earlier."
        ),
        (_, true) => {
            format!("Un par de manos más que sepa todo: fuera a las {at} como tarde, {minutes} min antes.")
        }
    };
    wrapped(text, &line, "  ");
}

fn people(count: usize, es: bool) -> String {
    match (count, es) {
        (1, false) => "one person".to_owned(),
        (1, true) => "una persona".to_owned(),
        (count, false) => format!("the same {count} people"),
        (count, true) => format!("las mismas {count} personas"),
    }
}

fn next(text: &mut String, args: &PlanArgs, es: bool) {
    if args.kitchen.is_some() {
        return;
    }
    text.push_str(if es {
        "\nEsto es la cocina de demostración, inventada. Pruebe:\n"
    } else {
        "\nThis is the demo kitchen; everything in it is invented. Try next:\n"
    });
    for (command, en, spanish) in [
        (
            "fulltray check demo/shake.machine.kdl",
            "prove a machine's procedures",
            "probar los procedimientos de una máquina",
        ),
        (
            "fulltray check demo/broken/h03-drive-not-off.machine.kdl",
            "see how a card goes wrong",
            "ver cómo falla una tarjeta",
        ),
        (
            "fulltray order demo/twist.machine.kdl --why \"Doors off\"",
            "ask why a step comes when it does",
            "preguntar por qué un paso va donde va",
        ),
        ("fulltray new", "start a machine file of your own", "empezar un archivo de máquina propio"),
    ] {
        let _ = writeln!(text, "  {command:62} {}", if es { spanish } else { en });
    }
}

/// Letters of a line, its indent included.
const PAGE: usize = 100;

/// A long text as lines of at most a page's width; those after the first stand a little further in.
fn wrapped(text: &mut String, long: &str, indent: &str) {
    let mut line = indent.to_owned();
    let mut is_empty = true;
    for word in long.split_whitespace() {
        if !is_empty && line.chars().count() + 1 + word.chars().count() > PAGE {
            let _ = writeln!(text, "{line}");
            line = format!("{indent}  ");
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
        is_empty = false;
    }
    let _ = writeln!(text, "{line}");
}

/// A second of the plan as a time of day.
fn clock(view: &TonightView, second: u32) -> String {
    let minutes = view.begins_min + second.div_ceil(60);
    format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60)
}
