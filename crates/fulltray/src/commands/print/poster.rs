//! `fulltray print poster`: why this order.

use ft_app::order::{EdgeView, NoAnswer, order};
use ft_paper::Turn;
use ft_paper::poster::{Poster, Reason, document};
use ft_prove::Limits;

use crate::args::PosterArgs;
use crate::commands::{chosen, out};
use crate::exit::{Answer, Failure};

pub(super) fn run(args: &PosterArgs) -> Result<Answer, Failure> {
    let (source, mut choice) = chosen(&args.chosen)?;
    choice.fitted.get_or_insert_with(Vec::new);
    choice.due = Some(false);
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let prepared = forms.prepared.first().expect("a choice of options leaves one variant");
    let language = args.chosen.language.as_str();
    let (view, order) = match order(&prepared.title, &prepared.form, &Limits::default(), language) {
        Ok(found) => found,
        Err(NoAnswer::TooLarge) => {
            out("The order could not be derived within the limits; nothing is claimed.\n")?;
            return Ok(Answer::Unfinished);
        }
        Err(NoAnswer::Unsafe(_)) => {
            out("No order of these steps is safe, so there is no poster; `fulltray order` tells why.\n")?;
            return Ok(Answer::No);
        }
    };
    let picture = ft_draw::order::svg(&prepared.form, &order, ft_prove::tell::Language::of(language));
    let machine = forms.file.as_ref().and_then(|file| file.machine.as_ref());
    let title = machine.map(|machine| {
        let named = &machine.named;
        named.label.get(language).unwrap_or(&named.name).clone()
    });
    let column = ft_draw::order::COLUMN as f32;
    // Cuts lie between two columns of boxes.
    let first = ft_draw::order::MARGIN as f32 - (column - ft_draw::order::BOX_WIDTH as f32) / 2.0;
    let poster = Poster {
        title: title.unwrap_or_else(|| prepared.form.name.clone()),
        language: language.to_owned(),
        picture,
        columns: (first, column),
        free_percent: view.free_percent,
        reasons: view.orders.iter().filter_map(reason).collect(),
    };
    super::write(document(&poster), Turn::Landscape, &args.to)
}

/// An order with its reasons; what lies within one step needs none.
fn reason(edge: &EdgeView) -> Option<Reason> {
    let told: Vec<&str> = edge
        .reasons
        .iter()
        .filter(|reason| reason.kind != "same-step")
        .map(|reason| reason.told.as_str())
        .collect();
    (!told.is_empty()).then(|| Reason {
        before: edge.before.clone(),
        after: edge.after.clone(),
        why: told.join("\n"),
    })
}
