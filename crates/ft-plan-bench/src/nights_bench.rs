//! Nights by seed: how soon there is a plan, how good it is, what CP-SAT makes of the same night.

use std::path::Path;
use std::time::{Duration, Instant};

use ft_night::{Assignment, Plan, Problem, Word, print_problem};
use ft_plan::{Actual, Budget, from_now, plan, replan};
use ft_plan_bench::nights::{Size, night};
use ft_plan_bench::sets::run_python;
use ft_plan_bench::wild::wild;
use ft_referee::Rule;
use serde_json::{Value, json};

struct Options {
    seeds: u64,
    seconds: f64,
    cp_sat_s: Option<f64>,
    walking: bool,
    sizes: Vec<(usize, usize)>,
    /// Where each night and its plan are written as JSON.
    write: Option<std::path::PathBuf>,
}

fn options(arguments: &[String]) -> Result<Options, String> {
    let sizes = (1..=3).flat_map(|machines| (1..=4).map(move |people| (machines, people))).collect();
    let mut options = Options { seeds: 1, seconds: 2.0, cp_sat_s: None, walking: true, sizes, write: None };
    let mut rest = arguments.iter();
    while let Some(flag) = rest.next() {
        if flag == "--still" {
            options.walking = false;
            continue;
        }
        let text = rest.next().ok_or(format!("{flag} needs a value"))?;
        let number = || text.parse::<f64>().map_err(|error| format!("{flag}: {error}"));
        match flag.as_str() {
            "--write" => options.write = Some(text.into()),
            "--seeds" => options.seeds = number()? as u64,
            "--seconds" => options.seconds = number()?,
            "--cp-sat" => options.cp_sat_s = Some(number()?),
            "--size" => {
                let (machines, people) = text.split_once('x').ok_or("--size 2x3")?;
                let whole = |text: &str| text.parse::<usize>().map_err(|error| error.to_string());
                options.sizes = vec![(whole(machines)?, whole(people)?)];
            }
            other => return Err(format!("{other} is not an option")),
        }
    }
    Ok(options)
}

/// One line for each night.
pub fn run(arguments: &[String]) -> Result<(), String> {
    let options = options(arguments)?;
    println!(
        "machines people seed | steps loads | first ms, end | re-plan ms | after {} s: end, bound, gap %, schedules | CP-SAT",
        options.seconds
    );
    for &(machines, people) in &options.sizes {
        for seed in 0..options.seeds {
            let problem = night(Size { machines, people, walking: options.walking }, seed);
            one(&problem, &options, &format!("{machines} {people} {seed}"))?;
        }
    }
    Ok(())
}

fn one(problem: &Problem, options: &Options, name: &str) -> Result<(), String> {
    let begun = Instant::now();
    let first = judged(problem, plan(problem, &Budget::units(1, 1)))?;
    let first_ms = begun.elapsed().as_secs_f64() * 1e3;
    let best = judged(problem, plan_for(problem, options.seconds))?;
    let actual = Actual::as_planned(&best, best.score.ends_at_s / 3, 60);
    let begun = Instant::now();
    let again = replan(problem, &best, &actual, &Budget::units(100, 1));
    let again_ms = begun.elapsed().as_secs_f64() * 1e3;
    judged(&from_now(problem, &best, &actual), again)?;
    if let Some(folder) = &options.write {
        let file = |what: &str| folder.join(format!("{}-{what}.json", name.replace(' ', "-")));
        std::fs::write(file("night"), print_problem(problem)).map_err(|error| error.to_string())?;
        std::fs::write(file("plan"), ft_night::print_plan(&best)).map_err(|error| error.to_string())?;
    }
    let (end, bound) = (best.score.ends_at_s, best.lower_bound_s);
    let steps = problem.tasks.len();
    print!(
        "{name} | {steps} {} | {first_ms:.1} {} | {again_ms:.1} | {end} {bound} {:.2} {}",
        best.loads.0.len(),
        first.score.ends_at_s,
        best.gap() * 100.0,
        best.work_units
    );
    if let Some(seconds) = options.cp_sat_s {
        for hint in [false, true] {
            let answer = cp_sat(problem, &best, seconds, hint)?;
            print!(
                " | {}: {} {} {}",
                if hint { "hint" } else { "no hint" },
                answer["word"],
                answer["ends_at"],
                answer["bound"]
            );
        }
    }
    println!();
    Ok(())
}

fn plan_for(problem: &Problem, seconds: f64) -> Plan {
    let begun = Instant::now();
    let stop = move || begun.elapsed() >= Duration::from_secs_f64(seconds);
    plan(problem, &Budget { work_units: u64::MAX, seed: 1, stop: Some(&stop) })
}

fn judged(problem: &Problem, plan: Plan) -> Result<Plan, String> {
    let found = ft_referee::problems(problem, &plan);
    if found.is_empty() { Ok(plan) } else { Err(format!("the referee refuses the plan: {found:?}")) }
}

/// CP-SAT on the night with the loads of our plan; the referee judges its plan as it judges ours.
fn cp_sat(problem: &Problem, ours: &Plan, seconds: f64, hint: bool) -> Result<Value, String> {
    let whole = problem.with_loads(&ours.loads);
    let text = print_problem(&whole);
    let wire: Value = serde_json::from_str(&text).map_err(|error| error.to_string())?;
    let plan: Value = serde_json::from_str(&ft_night::print_plan(ours)).map_err(|error| error.to_string())?;
    let horizon = if ours.is_plan() { ours.score.ends_at_s * 3 / 2 } else { 2000 };
    let input = json!({"problem": wire["content"], "plan": plan["content"], "seconds": seconds, "hint": hint, "horizon": horizon});
    let answer = run_python(&Path::new(env!("CARGO_MANIFEST_DIR")).join("cpsat_night.py"), &input)?;
    let assignments: Vec<Assignment> =
        serde_json::from_value(answer["assignments"].clone()).map_err(|error| error.to_string())?;
    if !assignments.is_empty() {
        let theirs = Plan { word: Word::Feasible, assignments, loads: ours.loads.clone(), ..Plan::default() };
        let mut found = ft_referee::problems(problem, &theirs);
        // What a plan says of itself is ours to say.
        found.retain(|violation| violation.rule != Rule::Claim);
        if !found.is_empty() {
            return Err(format!("the referee refuses CP-SAT's plan: {found:?}"));
        }
    }
    Ok(answer)
}

/// Odd problems: how many of each word, and whether CP-SAT agrees with those called impossible or left open; with
/// `--bounds` also whether it finds a plan that ends before our bound.
pub fn wild_run(arguments: &[String]) -> Result<(), String> {
    let number =
        |index: usize| arguments.get(index).and_then(|text| text.parse::<u64>().ok()).ok_or("wild FROM TO");
    let has = |name: &str| arguments.iter().any(|flag| flag == name);
    let (with_cp_sat, only_impossible, bounds) = (has("--cp-sat"), has("--only-impossible"), has("--bounds"));
    let mut words = std::collections::BTreeMap::new();
    let mut slowest = Duration::ZERO;
    for seed in number(0)?..number(1)? {
        let problem = wild(seed);
        let begun = Instant::now();
        let plan = judged(&problem, plan(&problem, &Budget::units(600, 1)))
            .map_err(|what| format!("wild {seed}: {what}"))?;
        slowest = slowest.max(begun.elapsed());
        *words.entry(format!("{:?}", plan.word)).or_insert(0) += 1;
        let asked = plan.word == Word::Impossible || !(plan.is_plan() || only_impossible);
        // Without a plan there are no loads that CP-SAT could be given.
        let asked = asked && problem.wash.items.is_empty() || bounds && plan.is_plan();
        if with_cp_sat && asked {
            let answer = cp_sat(&problem, &plan, 10.0, false)?;
            *words.entry(format!("{:?}, CP-SAT {}", plan.word, answer["word"])).or_insert(0) += 1;
            if plan.word == Word::Impossible && answer["word"] != "impossible" {
                println!("wild {seed}: called impossible ({:?}), CP-SAT says {answer}", plan.conflict);
            }
            if answer["ends_at"].as_u64().is_some_and(|end| end < u64::from(plan.lower_bound_s)) {
                println!("wild {seed}: bound {}, CP-SAT says {answer}", plan.lower_bound_s);
            }
        }
    }
    println!("{words:?}, slowest {slowest:?}");
    Ok(())
}
