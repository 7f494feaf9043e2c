//! Questions of hygiene: which rule decides, and how a solution is made under the rules in force.

use ft_rules::{
    Amount, AnswerView, Circumstances, Dimension, Override, PRACTICES, RuleSet, RulesView, SUBJECTS,
    Solution, Stack, read, read_site, shipped, subject_named,
};
use ft_solution::{Chemical, DoseAsked, DoseView, ProductStrength, dose, hocl};
use ft_units::{Strength, StrengthUnit, Temperature, TemperatureUnit, Time, TimeUnit, Volume};
use jiff::civil::Date;
use serde::Serialize;

use crate::{Source, Trouble};

/// The sets that are asked, and the site's overrides.
#[derive(Debug, Clone)]
pub struct RuleBook {
    sets: Vec<RuleSet>,
    overrides: Vec<Override>,
    day: Date,
    /// No place was named, so every set that ships is asked.
    everywhere: bool,
}

impl RuleBook {
    /// Puts a stack together: the site's sets, the named ones, and the user's own files. Where none is named, every
    /// set that ships is asked, which is the strictest there can be.
    ///
    /// # Errors
    /// [`Trouble`] with the text that it is in; for a name that no set has, with no text.
    pub fn open(
        names: &[String],
        own: &[Source],
        site: Option<&Source>,
        day: Date,
    ) -> Result<Self, (Source, Trouble)> {
        let mut known: Vec<RuleSet> = shipped().to_vec();
        let mut wanted: Vec<String> = names.to_vec();
        for source in own {
            let read = read(&source.text);
            match read.set {
                Some(set) if read.problems.is_empty() => {
                    wanted.push(set.name.clone());
                    known.push(set);
                }
                _ => return Err((source.clone(), Trouble::Problems(read.problems))),
            }
        }
        let mut overrides = Vec::new();
        if let Some(source) = site {
            let (site, problems) = read_site(&source.text, &known.iter().collect::<Vec<_>>());
            if !problems.is_empty() {
                return Err((source.clone(), Trouble::Problems(problems)));
            }
            wanted.splice(0..0, site.stack);
            overrides = site.overrides;
        }
        for name in &wanted {
            if !known.iter().any(|set| set.name == *name) {
                let source = Source { name: "rules".into(), text: String::new() };
                let wrong = format!("there is no rule set `{name}`");
                return Err((
                    source,
                    Trouble::Choice(wrong, offer(name, known.iter().map(|set| set.name.as_str()))),
                ));
            }
        }
        let everywhere = wanted.is_empty();
        let mut sets = Vec::new();
        for name in &wanted {
            sets.extend(known.iter().filter(|set| set.name == *name).cloned());
        }
        Ok(Self { sets: if everywhere { known } else { sets }, overrides, day, everywhere })
    }

    /// The stack on the day.
    pub fn stack(&self) -> Stack<'_> {
        Stack::new(&self.sets, &self.overrides, self.day)
    }

    /// The sets, as shown.
    pub fn view(&self) -> RulesView {
        RulesView::from(&self.stack())
    }

    /// Says first, where no place was named, that every set was asked.
    pub fn add_caution(&self, view: &mut AnswerView) {
        if self.everywhere {
            let caution = "No place was named, so every set that ships was asked; name yours with `--set` or a site file.";
            view.cautions.insert(0, caution.to_owned());
        }
    }
}

fn offer<'c>(word: &str, known: impl Iterator<Item = &'c str> + Clone) -> String {
    match ft_diag::nearest(word, known.clone()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of: {}", known.collect::<Vec<_>>().join(", ")),
    }
}

/// The subject of heat-treatments of mix.
const HEAT_TREATMENT: &str = "heat-treatment";

/// What is wrong with a question, and what would be right.
pub type Wrong = (String, String);

/// Asks which rule decides: a figure (`cold-hold`, `43 °F`), a practice (`rerun`, `yes`) or an organism
/// (`coliforms`, `5 /g, 12 /g`, the latest last), or `heat-treatment` with `155 °F for 30 min`. Without a value a figure
/// is only told.
///
/// # Errors
/// [`Wrong`] for a subject that no rule speaks of, or a value that cannot be read.
pub fn why(
    book: &RuleBook,
    subject: &str,
    value: Option<&str>,
    circumstances: &Circumstances,
) -> Result<AnswerView, Wrong> {
    let stack = book.stack();
    let mut view = if let Some(figure) = subject_named(subject) {
        let found = value.map(|text| amount(text, figure.dimension)).transpose()?;
        AnswerView::from(&stack.ask(figure, found, circumstances))
    } else if PRACTICES.iter().any(|(name, _)| *name == subject) {
        let done = match value {
            None | Some("yes") => true,
            Some("no") => false,
            Some(other) => {
                return Err((format!("`{other}` is neither yes nor no"), "write `yes` or `no`".into()));
            }
        };
        AnswerView::from(&stack.ask_practice(subject, done, circumstances))
    } else if subject == HEAT_TREATMENT {
        let (at, time) = value.and_then(|text| text.split_once(" for ")).ok_or_else(|| {
            ("a heat-treatment is a temperature and a time".into(), "write `155 °F for 30 min`".into())
        })?;
        let (Amount::Temperature(at), Amount::Time(time)) =
            (amount(at, Dimension::Temperature)?, amount(time, Dimension::Time)?)
        else {
            unreachable!("an amount is of the dimension that it was read in")
        };
        AnswerView::from(&stack.ask_heat_treatment(at, time, circumstances))
    } else if organisms(book).contains(&subject) {
        let texts = value.unwrap_or_default().split(',').map(str::trim).filter(|text| !text.is_empty());
        let counts: Vec<Amount> =
            texts.map(|text| amount(text, Dimension::Count)).collect::<Result<_, _>>()?;
        let question = format!("{subject}: {}", value.unwrap_or("no sample"));
        AnswerView::of_microbes(question, &stack.ask_microbes(subject, &counts, circumstances))
    } else {
        let known: Vec<&str> =
            SUBJECTS.iter().map(|s| s.name).chain(PRACTICES.iter().map(|(n, _)| *n)).collect();
        let known = known.into_iter().chain(organisms(book)).chain([HEAT_TREATMENT]);
        return Err((format!("no rule speaks of `{subject}`"), offer(subject, known)));
    };
    book.add_caution(&mut view);
    Ok(view)
}

fn organisms(book: &RuleBook) -> Vec<&str> {
    let rules = book.sets.iter().flat_map(|set| &set.rules);
    let mut names: Vec<&str> = rules
        .filter_map(|rule| match &rule.body {
            ft_rules::Body::Microbes { organism, .. } => Some(organism.as_str()),
            _ => None,
        })
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

fn amount(text: &str, dimension: Dimension) -> Result<Amount, Wrong> {
    Amount::parse(text, dimension).map_err(|bad| (bad.message, bad.remedy))
}

/// The strength of a product in the words of its label; see [`ProductStrength::read`].
///
/// # Errors
/// [`Wrong`]
pub fn product(text: &str, density: Option<f64>) -> Result<ProductStrength, Wrong> {
    ProductStrength::read(text, density).map_err(|bad| (bad.message, bad.remedy))
}

/// A solution that is to be made.
#[derive(Debug, Clone)]
pub struct DoseQuestion {
    /// What the label says of the product.
    pub product: ProductStrength,
    /// Which kind of chemical.
    pub agent: String,
    /// The label's name, so that its rule set speaks.
    pub label: Option<String>,
    /// Strength that is wanted.
    pub target: Strength,
    /// Finished volume.
    pub volume: Volume,
    /// pH of the solution.
    pub ph: Option<f64>,
    /// Temperature of the solution.
    pub temperature: Option<Temperature>,
    /// Hardness of the water.
    pub hardness: Option<Strength>,
    /// How long things stay in it.
    pub contact: Option<Time>,
    /// Whether it is rinsed off.
    pub rinsed_after: bool,
    /// The half-life that the site has measured with strips.
    pub half_life: Option<Time>,
}

/// A solution, how it is made, and what the rules in force say of it.
#[derive(Debug, Clone, Serialize)]
pub struct DoseAnswer {
    /// How it is made.
    pub dose: DoseView,
    /// The contact time that all sets together ask for.
    pub contact_least: Option<String>,
    /// How long it stays within the rules, by the site's half-life.
    pub life: Option<LifeView>,
    /// What the rules say.
    pub rules: AnswerView,
}

/// How long a solution lasts, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct LifeView {
    /// The least strength at which the rules still say the same, mg/L, to half a mg/L.
    pub least_mg_per_l: f64,
    /// Minutes until then.
    pub good_for_min: f64,
    /// What to keep in mind.
    pub caution: &'static str,
}

impl DoseAnswer {
    /// The answer as text for a terminal or paper.
    pub fn text(&self) -> String {
        let contact =
            self.contact_least.as_ref().map_or(String::new(), |c| format!("  contact  at least {c}\n"));
        let life = self.life.as_ref().map_or(String::new(), |life| {
            let (minutes, least) = (life.good_for_min, life.least_mg_per_l);
            format!("  life     {minutes:.0} min until {least} mg/L; {}\n", life.caution)
        });
        format!("{}\n{contact}{life}{}", self.dose.text(), self.rules.text())
    }
}

/// Makes a solution and holds it against the rules in force.
///
/// # Errors
/// [`Wrong`]: a product, target, volume, pH or temperature that cannot be, or an agent that nobody knows.
pub fn make(book: &RuleBook, question: &DoseQuestion) -> Result<DoseAnswer, Wrong> {
    let wrong = |bad: ft_solution::BadSolution| (bad.message, bad.remedy);
    let chemical = Chemical::named(&question.agent).ok_or_else(|| {
        let known = Chemical::ALL.iter().map(|(_, name)| *name);
        (format!("`{}` is not a kind of chemical", question.agent), offer(&question.agent, known))
    })?;
    let asked = DoseAsked { product: question.product, target: question.target, volume: question.volume };
    let mut made = dose(asked).map_err(wrong)?;
    let share = match (chemical, question.ph, question.temperature) {
        (Chemical::Chlorine, Some(ph), Some(temperature)) => {
            Some(hocl(ph, temperature.in_unit(TemperatureUnit::Celsius)).map_err(wrong)?)
        }
        _ => None,
    };
    if let Some(ph) = question.ph.filter(|ph| !(0.0..=14.0).contains(ph)) {
        return Err((format!("a pH of {ph} cannot be"), "give a pH between 0 and 14".into()));
    }
    let agent = match chemical {
        Chemical::Chlorine | Chemical::Iodine | Chemical::Quat => question.agent.as_str(),
        _ => "other",
    };
    let solution = Solution {
        agent,
        strength: Some(question.target),
        ph: question.ph,
        temperature: question.temperature,
        hardness: question.hardness,
        contact: question.contact,
        rinsed_after: question.rinsed_after,
    };
    let mut circumstances = Circumstances::unknown();
    if let Some(label) = &question.label {
        circumstances = circumstances.using(label);
    }
    let stack = book.stack();
    let answer = stack.ask_solution(&solution, &circumstances);
    // An amount that is rounded out of what the rules allow is not offered.
    made.measured.retain(|measured| {
        let rounded = Solution { strength: Some(measured.gives), ..solution };
        stack.ask_solution(&rounded, &circumstances).verdict >= answer.verdict
    });
    let mut rules = AnswerView::from(&answer);
    book.add_caution(&mut rules);
    let contact_least = stack.contact_least(&solution, &circumstances).map(|time| time.to_string());
    let life = question.half_life.map(|half_life| life(&stack, &solution, &circumstances, half_life));
    let life = life.transpose().map_err(wrong)?.flatten();
    Ok(DoseAnswer { life, dose: DoseView::new(&made, chemical, share), contact_least, rules })
}

/// How long a solution stays within the rules; nothing where they do not pass it to begin with.
fn life(
    stack: &Stack<'_>,
    solution: &Solution<'_>,
    circumstances: &Circumstances,
    half_life: Time,
) -> Result<Option<LifeView>, ft_solution::BadSolution> {
    let start = solution.strength.map_or(0.0, |strength| strength.in_unit(StrengthUnit::MilligramPerLitre));
    let passes = |mg_per_l: f64| {
        let strength = Some(Strength::new(mg_per_l, StrengthUnit::MilligramPerLitre));
        stack.ask_solution(&Solution { strength, ..*solution }, circumstances).verdict
            == ft_rules::Verdict::Pass
    };
    if !passes(start) {
        return Ok(None);
    }
    // Downwards in half milligrams: a table has steps, so the first that fails ends the life.
    let mut least = start;
    while least > 0.5 && passes(least - 0.5) {
        least -= 0.5;
    }
    let good_for_min = ft_solution::good_for_min(start, least, half_life.in_unit(TimeUnit::Minute))?;
    let caution = "food, soil, warmth and light shorten it: read a strip again, and remake it when it fails";
    Ok(Some(LifeView { least_mg_per_l: least, good_for_min, caution }))
}

/// Circumstances from words such as `flavour=plain`.
///
/// # Errors
/// [`Wrong`] for a word that rules do not depend on.
pub fn circumstances(
    words: &[String],
    room: Option<Temperature>,
    products: &[String],
) -> Result<Circumstances, Wrong> {
    let mut known = Circumstances::unknown();
    for word in words {
        let told = word.split_once('=').and_then(|(key, value)| known.clone().with(key.trim(), value.trim()));
        known = told.ok_or_else(|| {
            let can = ft_rules::KEYS.iter().map(|(key, words)| format!("{key}={}", words.join("|")));
            (
                format!("no rule depends on `{word}`"),
                format!("write one of: {}", can.collect::<Vec<_>>().join(", ")),
            )
        })?;
    }
    known = products.iter().fold(known, |known, product| known.using(product));
    Ok(room.map_or(known.clone(), |room| known.in_room(room)))
}
