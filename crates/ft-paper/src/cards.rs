//! Station cards: for each person and machine what to do, in order, the caution before the action.

use crate::NoPaper;
use crate::document::{Block, Document, Figure, Step};
use crate::picture::Picture;
use crate::words::{self, say};

/// Cards for a night.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cards {
    /// What the kitchen is called.
    pub kitchen: String,
    /// Which night, in words; may be empty.
    pub night: String,
    /// Language, such as `es`.
    pub language: String,
    /// The timeline as one of our SVG pictures, and what it shows in words.
    pub timeline: Option<(String, String)>,
    /// Who has cards.
    pub people: Vec<Person>,
}

/// A person's night.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Person {
    /// Name.
    pub name: String,
    /// What they do, by begin.
    pub steps: Vec<CardStep>,
}

/// A step of a person.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CardStep {
    /// The machine, as people call it; what belongs to no machine says so here too.
    pub machine: String,
    /// Begin, such as `21:40`.
    pub at: String,
    /// End, likewise.
    pub until: String,
    /// What.
    pub title: String,
    /// How; may be empty.
    pub says: String,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// Where; may be empty.
    pub place: String,
    /// Who else does it.
    pub with: Vec<String>,
}

/// The cards as a document: first the night as a picture, then each card from a new page.
///
/// # Errors
/// [`NoPaper::Picture`] if the timeline is not one of our pictures.
pub fn document(cards: &Cards) -> Result<Document, NoPaper> {
    let language = cards.language.as_str();
    let title = format!("{} – {}", cards.kitchen, say(language, "station cards", "tarjetas de puesto"));
    let mut blocks = vec![Block::Heading(1, cards.kitchen.clone())];
    if !cards.night.is_empty() {
        blocks.push(Block::Lead(cards.night.clone()));
    }
    blocks.push(Block::Paragraph(advice(language).to_owned()));
    if let Some((svg, alt)) = &cards.timeline {
        let picture = Picture::read(svg).map_err(NoPaper::Picture)?;
        blocks.push(Block::Heading(
            2,
            say(language, "Who does what when", "Quién hace qué y cuándo").to_owned(),
        ));
        blocks.push(Block::Figure(Figure { picture, alt: alt.clone(), scale_mm: None }));
    }
    for person in &cards.people {
        for machine in machines(person) {
            blocks.push(Block::PageBreak);
            blocks.push(Block::Heading(1, format!("{} – {machine}", person.name)));
            blocks.push(Block::Steps(card(person, machine, language)));
        }
    }
    Ok(Document { title, language: cards.language.clone(), blocks })
}

fn advice(language: &str) -> &'static str {
    say(
        language,
        "Each card is for one person at one machine. The times are a plan: safety goes first, and what stands before \
         a step is read before the hands act. Your machine's own instructions, the label on the bottle and local \
         code decide.",
        "Cada tarjeta es para una persona en una máquina. Las horas son un plan: la seguridad va primero, y lo que \
         está antes de un paso se lee antes de actuar. Deciden las instrucciones de la máquina, la etiqueta del \
         producto y la norma local.",
    )
}

/// Machines of a person in the order in which they come to them.
fn machines(person: &Person) -> Vec<&str> {
    let mut machines: Vec<&str> = Vec::new();
    for step in &person.steps {
        if !machines.contains(&step.machine.as_str()) {
            machines.push(&step.machine);
        }
    }
    machines
}

/// The steps at one machine, and between them where the person is meanwhile.
fn card(person: &Person, machine: &str, language: &str) -> Vec<Step> {
    let words = words::of(language);
    let mut steps: Vec<Step> = Vec::new();
    // Where the person stands, as far as the card has said so.
    let mut place = "";
    let mut away: Option<(&CardStep, Vec<&str>)> = None;
    for step in &person.steps {
        if step.machine != machine {
            if !steps.is_empty() {
                let (_, elsewhere) = away.get_or_insert((step, Vec::new()));
                if !elsewhere.contains(&step.machine.as_str()) {
                    elsewhere.push(&step.machine);
                }
            }
            continue;
        }
        if let Some((first, elsewhere)) = away.take() {
            let is_first = steps.iter().all(|step| step.has_box);
            let about = say(language, "see the card there", "vea la tarjeta de allí");
            steps.push(Step {
                at: first.at.clone(),
                title: format!("→ {}", elsewhere.join(", ")),
                about: if is_first { about.to_owned() } else { String::new() },
                ..Step::default()
            });
        }
        steps.push(Step {
            at: step.at.clone(),
            cautions: step.cautions.iter().map(|caution| format!("{}: {caution}", words.caution)).collect(),
            title: step.title.clone(),
            says: step.says.clone(),
            about: about(step, step.place != place, language),
            has_box: true,
        });
        place = &step.place;
    }
    if let Some((first, elsewhere)) = away {
        steps.push(Step {
            at: first.at.clone(),
            title: format!("→ {}", elsewhere.join(", ")),
            ..Step::default()
        });
    }
    steps
}

/// Where, if that is new; until when, if it takes minutes; with whom.
fn about(step: &CardStep, is_new_place: bool, language: &str) -> String {
    let mut parts = Vec::new();
    if is_new_place && !step.place.is_empty() {
        parts.push(step.place.clone());
    }
    if step.until != step.at {
        parts.push(format!("{} {}", say(language, "until", "hasta las"), step.until));
    }
    if !step.with.is_empty() {
        parts.push(format!("{} {}", say(language, "with", "con"), step.with.join(", ")));
    }
    parts.join(" · ")
}
