//! `fulltray dose`.

use ft_app::hygiene::{DoseQuestion, make};

use super::rules::{book, quantity, verdict, wrong};
use super::{out, out_json};
use crate::args::hygiene::DoseArgs;
use crate::exit::{Answer, Failure};

/// Tells how a solution is made; the verdict of the rules in force is the answer.
pub fn run(args: &DoseArgs) -> Result<Answer, Failure> {
    let product = ft_app::hygiene::product(&args.product, args.density).map_err(wrong)?;
    let question = DoseQuestion {
        product,
        agent: args.agent.clone(),
        label: args.label.clone(),
        target: quantity(&args.target)?,
        volume: quantity(&args.volume)?,
        ph: args.ph,
        temperature: args.temperature.as_deref().map(quantity).transpose()?,
        hardness: args.hardness.as_deref().map(quantity).transpose()?,
        contact: args.contact.as_deref().map(quantity).transpose()?,
        rinsed_after: args.rinsed,
        half_life: args.half_life.as_deref().map(quantity).transpose()?,
    };
    let answer = make(&book(&args.rules)?, &question).map_err(wrong)?;
    if args.rules.json {
        out_json(&answer)?
    } else {
        out(&answer.text())?
    }
    // What was not measured is told; it keeps nobody from making the solution and reading the strip.
    Ok(verdict(&answer.rules, false))
}
