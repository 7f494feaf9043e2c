//! `fulltray core`.

use super::{chosen_one, out};
use crate::args::CoreArgs;
use crate::exit::{Answer, Failure};

/// Prints the core form of one variant.
pub fn run(args: &CoreArgs) -> Result<Answer, Failure> {
    let (source, choice) = chosen_one(&args.chosen)?;
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let form = &forms.prepared.first().expect("a choice of options leaves one variant").form;
    let text = if args.promela {
        ft_form::promela::print(form, ft_form::promela::Ask::All)
    } else {
        ft_form::json::print(form) + "\n"
    };
    out(&text)?;
    Ok(Answer::Yes)
}
