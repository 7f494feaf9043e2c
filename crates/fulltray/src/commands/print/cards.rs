//! `fulltray print cards`: tonight's plan, person by person.

use ft_app::tonight::{CardView, Tonight};
use ft_paper::Turn;
use ft_paper::cards::{CardStep, Cards, Person, document};

use crate::args::CardsArgs;
use crate::commands::{out, plan};
use crate::exit::{Answer, Failure};

/// Units of the timeline's width: its letters are then 7 points high on either paper.
const WIDTH: u32 = 760;

pub(super) fn run(args: &CardsArgs) -> Result<Answer, Failure> {
    let night = match plan::night(&args.plan)? {
        Ok(night) => night,
        Err(answer) => return Ok(answer),
    };
    if !night.plan.is_plan() {
        out("There is no plan, so there are no cards; `fulltray plan` tells why.\n")?;
        return Ok(if night.view.word == "impossible" { Answer::No } else { Answer::Unfinished });
    }
    if let Some(name) = &args.person
        && !night.view.people.contains(name)
    {
        let near = ft_diag::nearest(name, night.view.people.iter().map(String::as_str));
        let remedy = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("here tonight: {}", night.view.people.join(", ")),
        };
        return Err(Failure::plain("F0071", format!("nobody here tonight is called `{name}`"), remedy));
    }
    super::write(document(&cards(args, &night)), Turn::Portrait, &args.to)
}

fn cards(args: &CardsArgs, night: &Tonight) -> Cards {
    let language = args.plan.language.as_str();
    let clock = ft_draw_plan::Clock { begins_at_s: night.view.begins_min * 60 };
    let names = &night.view.people;
    let views = ft_app::tonight::cards(night, language);
    let step = |view: &CardView| CardStep {
        machine: view.machine.clone(),
        at: clock.hour(view.start_s),
        until: clock.hour(view.end_s),
        title: view.title.clone(),
        says: view.says.clone(),
        cautions: view.cautions.clone(),
        place: view.place.clone(),
        with: view.with.iter().map(|other| names[*other].clone()).collect(),
    };
    let people: Vec<Person> = names
        .iter()
        .enumerate()
        .filter(|(_, name)| args.person.as_ref().is_none_or(|wanted| wanted == *name))
        .map(|(person, name)| Person {
            name: name.clone(),
            steps: views.iter().filter(|view| view.person == person).map(step).collect(),
        })
        .collect();
    let (from, to) = (clock.hour(0), clock.hour(night.view.out_s));
    let timeline = ft_draw_plan::svg(&night.problem, &night.plan, clock, language, WIDTH);
    let alt = match language {
        "es" => format!("Quién hace qué de {from} a {to}; las tarjetas lo dicen con palabras."),
        _ => format!("Who does what from {from} to {to}; the cards say it in words."),
    };
    Cards {
        kitchen: night.view.kitchen.clone(),
        night: format!("{from} – {to}"),
        language: language.to_owned(),
        timeline: Some((timeline, alt)),
        people,
    }
}
