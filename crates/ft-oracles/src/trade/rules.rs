//! Rows of rules: sanitisers, holding, cleaning, heat-treatment, microbes, hands, shelves.

use ft_rules::{
    Amount, Answer, Circumstances, Dimension, Grade, RuleSet, Solution, Stack, Verdict, shipped_named,
    subject_named,
};
use ft_units::{Strength, StrengthUnit, Temperature, TemperatureUnit, Time, TimeUnit};
use jiff::civil::{Date, date};

use super::said::{Said, pass, word};

/// The day on which the rows are asked, where nothing in them depends on the day.
pub const DAY: Date = date(2026, 6, 1);

pub fn answer(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    sanitisers(id, n)
        .or_else(|| holding(id, n))
        .or_else(|| machines(id, n))
        .or_else(|| microbes(id, input, n))
}

/// A stack of shipped sets.
pub fn stack(names: &[&str]) -> Stack<'static> {
    let sets: Vec<&'static RuleSet> = names.iter().flat_map(|name| shipped_named(name)).collect();
    assert!(sets.len() >= names.len(), "all of {names:?} are shipped");
    Stack::new(sets, &[], DAY)
}

fn mg_per_l(value: f64) -> Option<Strength> {
    Some(Strength::new(value, StrengthUnit::MilligramPerLitre))
}

fn fahrenheit(value: f64) -> Temperature {
    Temperature::new(value, TemperatureUnit::Fahrenheit)
}

/// What one set, with the federal ceilings, says to a solution.
fn solution(
    set: &str,
    agent: &str,
    strength: Option<f64>,
    ph: Option<f64>,
    degrees_f: Option<f64>,
    contact_s: Option<f64>,
) -> (Verdict, Option<f64>, String) {
    let stack = stack(&[set, "us-federal"]);
    let solution = Solution {
        agent,
        strength: strength.and_then(mg_per_l),
        ph,
        temperature: degrees_f.map(fahrenheit),
        hardness: mg_per_l(100.0),
        contact: contact_s.map(|s| Time::new(s, TimeUnit::Second)),
        rinsed_after: false,
    };
    let unknown = Circumstances::unknown();
    let answer = stack.ask_solution(&solution, &unknown);
    let contact = stack.contact_least(&solution, &unknown).map(|time| time.in_unit(TimeUnit::Second));
    (answer.verdict, contact, answer.winner().map(|finding| finding.because.clone()).unwrap_or_default())
}

/// A verdict, and the limit in the first finding's words.
fn with_limit(answer: &Answer<'_>) -> Vec<Said> {
    let limit = answer.winner().map(|finding| super::numbers(&finding.needs)).unwrap_or_default();
    vec![pass(answer.verdict == Verdict::Pass), Said::Number(limit.first().copied().unwrap_or(f64::NAN))]
}

fn sanitisers(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let with_contact = |(verdict, contact, _): (Verdict, Option<f64>, String)| {
        vec![pass(verdict == Verdict::Pass), Said::Number(contact.unwrap_or(f64::NAN))]
    };
    let with_needed = |(verdict, _, because): (Verdict, Option<f64>, String)| {
        let needed = super::numbers(&because).last().copied();
        vec![pass(verdict == Verdict::Pass), Said::Number(needed.unwrap_or(f64::NAN))]
    };
    let verdict = |(verdict, ..): (Verdict, Option<f64>, String)| vec![pass(verdict != Verdict::Fail)];
    Some(match (id, n) {
        ("S1" | "S3" | "S5" | "S7", &[strength, ph, degrees]) => {
            with_contact(solution("us-food-code", "chlorine", Some(strength), Some(ph), Some(degrees), None))
        }
        ("S2", &[strength, ph, degrees]) => {
            with_needed(solution("us-food-code", "chlorine", Some(strength), Some(ph), Some(degrees), None))
        }
        ("S6", &[strength]) => {
            let best =
                solution("us-food-code", "chlorine", Some(strength), Some(7.0), Some(140.0), Some(60.0));
            verdict(best)
        }
        ("S9", &[strength, degrees]) => verdict(solution(
            "us-food-code",
            "chlorine",
            Some(strength),
            Some(7.0),
            Some(degrees),
            Some(60.0),
        )),
        ("S10", &[strength]) => with_needed(solution(
            "us-food-code",
            "chlorine",
            Some(strength),
            Some(7.0),
            Some(75.0),
            Some(60.0),
        )),
        ("S11", &[strength, ph, degrees]) => {
            with_contact(solution("us-food-code", "iodine", Some(strength), Some(ph), Some(degrees), None))
        }
        ("S12", &[strength, degrees]) => with_needed(solution(
            "us-indiana",
            "iodine",
            Some(strength),
            Some(5.0),
            Some(degrees),
            Some(60.0),
        )),
        ("S13", &[strength]) => {
            verdict(solution("us-food-code", "iodine", Some(strength), Some(5.0), Some(70.0), Some(60.0)))
        }
        ("S14", &[degrees]) => {
            verdict(solution("us-food-code", "quat", Some(200.0), None, Some(degrees), Some(60.0)))
        }
        ("S16", &[strength, contact]) => with_needed(solution(
            "us-california",
            "chlorine",
            Some(strength),
            Some(7.0),
            Some(75.0),
            Some(contact),
        )),
        ("S18", &[first, first_s, second, second_s]) => {
            let hot = |degrees, seconds| {
                let water = Amount::Temperature(fahrenheit(degrees));
                let time = Amount::Time(Time::new(seconds, TimeUnit::Second));
                figure("us-food-code", "hot-water-temperature", water)
                    && figure("us-food-code", "hot-water-contact", time)
            };
            vec![pass(hot(first, first_s)), pass(hot(second, second_s))]
        }
        ("S20", &[degrees]) => {
            let subject = subject_named("wash-temperature")?;
            let found = Some(Amount::Temperature(fahrenheit(degrees)));
            with_limit(&stack(&["us-food-code"]).ask(subject, found, &Circumstances::unknown()))
        }
        _ => return None,
    })
}

/// Whether one set passes a figure.
pub fn figure(set: &str, subject: &str, found: Amount) -> bool {
    let subject = subject_named(subject).expect("the subject is one of the list");
    stack(&[set]).ask(subject, Some(found), &Circumstances::unknown()).verdict == Verdict::Pass
}

fn holding(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let degrees = |value: f64| Amount::Temperature(fahrenheit(value));
    Some(match (id, n) {
        ("D5", _) => {
            let answer =
                stack(&["us-food-code"]).ask_practice("date-marked", false, &Circumstances::unknown());
            let undated = ft_coldchain::DateMark::default().keep_until(7, false);
            let discard = answer.verdict == Verdict::Fail && undated == ft_coldchain::KeepUntil::Discard;
            vec![word(if discard { "discard" } else { "keep" })]
        }
        ("D7", _) => {
            let answer = stack(&["us-north-carolina"]).ask_practice("rerun", true, &Circumstances::unknown());
            vec![word(if answer.verdict == Verdict::Fail { "not permitted" } else { "permitted" })]
        }
        ("T4", &[found]) => vec![
            pass(figure("us-north-carolina", "cold-hold", degrees(found))),
            pass(figure("us-food-code", "cold-hold", degrees(found))),
        ],
        ("F1" | "F3", rooms) if !rooms.is_empty() => {
            let subject = subject_named("cleaning-interval")?;
            let stack = stack(&["us-food-code"]);
            let hours = |room: &f64| {
                let answer = stack.ask(subject, None, &Circumstances::unknown().in_room(fahrenheit(*room)));
                Said::Number(super::numbers(&answer.winner().expect("a rule speaks").needs)[0])
            };
            rooms.iter().map(hours).collect()
        }
        ("W1", &[rub, whole]) => {
            let seconds = |value| Amount::Time(Time::new(value, TimeUnit::Second));
            let hands = |set: &str| {
                let subjects = [("hand-rub", rub), ("hand-wash", whole)];
                let silent_or_pass = |(subject, value): &(&str, f64)| {
                    let subject = subject_named(subject).expect("the subject is one of the list");
                    let asked = stack(&[set]);
                    let answer = asked.ask(subject, Some(seconds(*value)), &Circumstances::unknown());
                    answer.verdict >= Verdict::Pass
                };
                pass(subjects.iter().all(silent_or_pass))
            };
            vec![hands("us-south-carolina"), hands("us-maine")]
        }
        ("W2", &[inches]) => {
            let height = Amount::parse(&format!("{inches} in"), Dimension::Length).ok()?;
            let shelf = |set| pass(figure(set, "shelf-height", height));
            let limit = stack(&["us-maryland"]).ask(
                subject_named("shelf-height")?,
                Some(height),
                &Circumstances::unknown(),
            );
            vec![shelf("us-indiana"), shelf("us-maryland"), with_limit(&limit)[1].clone()]
        }
        _ => return None,
    })
}

fn machines(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let of = |machine: &str| Circumstances::unknown().with("machine", machine);
    let minutes = |value| Amount::Time(Time::new(value, TimeUnit::Minute));
    let judge = |set: &str, subject: &str, found: Amount| -> Option<bool> {
        let answer = stack(&[set]).ask(subject_named(subject)?, Some(found), &of("heat-treatment")?);
        Some(answer.verdict == Verdict::Pass)
    };
    Some(match (id, n) {
        ("P1", &[degrees, hold, first_day, second_day]) => {
            let all = |day: f64| -> Option<bool> {
                let days = Amount::Time(Time::new(day, TimeUnit::Day));
                Some(
                    judge(
                        "us-pennsylvania",
                        "heat-cycle-temperature",
                        Amount::Temperature(fahrenheit(degrees)),
                    )? && judge("us-pennsylvania", "heat-cycle-hold", minutes(hold))?
                        && judge("us-pennsylvania", "apart-interval", days)?,
                )
            };
            let locks = stack(&["us-pennsylvania"]).ask_practice("lock-out", false, &of("heat-treatment")?);
            let locks = locks.verdict == Verdict::Fail && !all(second_day)?;
            vec![pass(all(first_day)?), word(if locks { "lock out" } else { "go on" })]
        }
        ("P2", &[degrees, hold]) => {
            let hot =
                judge("us-connecticut", "heat-cycle-temperature", Amount::Temperature(fahrenheit(degrees)))?;
            vec![pass(hot && judge("us-connecticut", "heat-cycle-hold", minutes(hold))?)]
        }
        ("P3", &[up, down]) => vec![
            pass(judge("us-connecticut", "heat-up", minutes(up))?),
            pass(judge("us-connecticut", "cool-down", minutes(down))?),
        ],
        ("P5", _) => {
            let skipped = |practice| {
                stack(&["us-pennsylvania"]).ask_practice(practice, false, &of("ordinary").unwrap_or_default())
            };
            let (apart, clean) = (skipped("apart-after-use"), skipped("clean-before-close"));
            let mut said = vec![pass(apart.verdict == Verdict::Pass || clean.verdict == Verdict::Pass)];
            said.push(word(&apart.winner()?.rule.reference));
            said.push(word(clean.winner()?.rule.reference.trim_start_matches("39.54")));
            said
        }
        ("P6", _) => {
            let not_today =
                stack(&["us-pennsylvania"]).ask_practice("sanitise-before-use", false, &of("ordinary")?);
            vec![pass(not_today.verdict == Verdict::Pass), word(&not_today.winner()?.rule.reference)]
        }
        _ => return None,
    })
}

fn microbes(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    let grams = |value: &f64| Amount::parse(&format!("{value} /g"), Dimension::Count).ok();
    let judge = |set: &str, organism: &str, counts: &[f64], key: &str, value: &str| -> Option<Grade> {
        let counts: Option<Vec<Amount>> = counts.iter().map(grams).collect();
        let circumstances = Circumstances::unknown().with(key, value)?;
        stack(&[set]).ask_microbes(organism, &counts?, &circumstances).grade
    };
    let pass_grade = |grade: Grade| pass(grade.verdict() == Verdict::Pass);
    Some(match (id, n) {
        ("M1", &[count]) => vec![pass_grade(judge("hong-kong", "coliforms", &[count], "stage", "product")?)],
        ("M2", counts @ [_, _]) => {
            let each = |count: &f64| judge("hong-kong", "plate-count", &[*count], "stage", "product");
            let coliforms = judge("hong-kong", "coliforms", &counts[1..], "stage", "product")?;
            let fails = |grade: Grade| grade.verdict() == Verdict::Fail;
            let both = fails(each(&counts[0])?) && fails(coliforms);
            vec![word(if both { "both fail" } else { "not both" })]
        }
        ("M4", &[count]) => {
            let flavours = ["bulky", "plain"];
            let grades: Option<Vec<Grade>> =
                flavours.iter().map(|f| judge("us-maryland", "coliforms", &[count], "flavour", f)).collect();
            grades?.into_iter().map(pass_grade).collect()
        }
        ("M5", counts) if counts.len() == 5 => {
            // The row writes thousands as `60k`.
            let counts: Vec<f64> = counts.iter().map(|k| k * 1000.0).collect();
            let grade = judge("us-iowa", "plate-count", &counts, "stage", "product")?;
            vec![word(if input.contains('k') && grade == Grade::Unsatisfactory {
                "violation"
            } else {
                "none"
            })]
        }
        ("M7", &[count]) => vec![
            pass_grade(judge("us-kansas", "plate-count", &[count], "stage", "mix")?),
            pass_grade(judge("us-iowa", "plate-count", &[count], "stage", "mix")?),
        ],
        ("M8", counts) if counts.len() == 5 => {
            let between = counts.iter().filter(|count| **count > 10.0).count();
            let grade = judge("eu-2073-2005", "enterobacteriaceae", counts, "stage", "product")?;
            vec![word(grade.says()), Said::Number(between as f64)]
        }
        ("M10", _) => {
            let heads = if input.contains("two-barrel") {
                vec!["left".to_owned(), "right".to_owned()]
            } else {
                Vec::new()
            };
            let needed = stack(&["us-pennsylvania"]).samples_needed(
                &heads,
                input.contains("twist"),
                &Circumstances::unknown(),
            );
            vec![Said::Number(needed.len() as f64)]
        }
        _ => return None,
    })
}
