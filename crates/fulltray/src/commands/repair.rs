//! `fulltray repair`.

use std::fmt::Write as _;

use ft_app::order::{RepairView, repair};
use ft_app::repair_text::written;
use ft_prove::Limits;

use super::{chosen_one, out, out_json};
use crate::args::RepairArgs;
use crate::exit::{Answer, Failure};

/// Shows, and with `--write` writes, the smallest repair of one variant.
pub fn run(args: &RepairArgs) -> Result<Answer, Failure> {
    let (source, choice) = chosen_one(&args.chosen)?;
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let prepared = forms.prepared.first().expect("a choice of options leaves one variant");
    let view = repair(&prepared.title, &prepared.form, &Limits::default(), &args.chosen.language);
    if args.chosen.json {
        out_json(&view)?;
    } else {
        out(&text(&view))?;
    }
    if args.write && view.add.as_ref().is_some_and(|added| !added.is_empty()) {
        let repaired = written(&source, &forms, &view).map_err(|why| {
            Failure::plain(
                "F0076",
                why,
                "add the order by hand: `after \"STEP\" because=\"…\"` in the later step",
            )
        })?;
        super::write_file(&source.name, &repaired)?;
        out(&format!("Written to {}. `fulltray check {}` proves it.\n", source.name, source.name))?;
    }
    Ok(match (&view.add, &view.impossible) {
        (Some(_), _) => Answer::Yes,
        (None, Some(_)) => Answer::No,
        (None, None) => Answer::Unfinished,
    })
}

fn text(view: &RepairView) -> String {
    let mut text = String::new();
    match (&view.add, &view.impossible) {
        (Some(added), _) if added.is_empty() => text.push_str("The card is safe as it is.\n"),
        (Some(added), _) => {
            let _ = writeln!(text, "{} would make the card safe:\n", orders(added.len()));
            for one in added {
                let _ = writeln!(text, "  {}\n      prevents {}", one.told, one.prevents);
            }
        }
        (None, Some(missing)) => {
            text.push_str("No order of these steps can make it safe. What is missing:\n");
            for sentence in missing {
                let _ = writeln!(text, "  {sentence}");
            }
        }
        (None, None) => text.push_str("No repair was found within the limits; nothing is claimed.\n"),
    }
    text
}

fn orders(count: usize) -> String {
    if count == 1 { "One more order".to_owned() } else { format!("{count} more orders") }
}
