//! `fulltray verify`.

use ft_app::verify::{VerifyView, verify};

use super::{chosen, out, out_json};
use crate::args::VerifyArgs;
use crate::exit::{Answer, Failure};
use crate::input;

/// Says of every variant that was asked for whether the certificate proves it; one is enough for yes, since a
/// certificate is about one.
pub fn run(args: &VerifyArgs) -> Result<Answer, Failure> {
    let (source, choice) = chosen(&args.chosen)?;
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let text = input::text(&args.certificate)?.text;
    let certificate = ft_form::certificate::parse(&text).map_err(|wrong| {
        Failure::plain(
            "F0070",
            format!("{} is no certificate: {wrong}", args.certificate),
            "`fulltray check FILE --certificate CERTIFICATE` writes one",
        )
    })?;
    let views: Vec<VerifyView> =
        forms.prepared.iter().map(|prepared| verify(prepared, &certificate)).collect();
    if args.chosen.json {
        match views.as_slice() {
            [one] => out_json(one)?,
            several => out_json(&several)?,
        }
    } else {
        for view in &views {
            out(&told(view, &source.name))?;
        }
    }
    Ok(if views.iter().any(|view| view.holds) { Answer::Yes } else { Answer::No })
}

fn told(view: &VerifyView, file: &str) -> String {
    let title = if view.title.is_empty() { file.to_owned() } else { format!("{file}: {}", view.title) };
    if view.holds {
        let (claims, states) = (view.claims, view.states);
        format!(
            "{title}\n  The certificate holds: it proves this. {claims} claims, {states} states looked at.\n"
        )
    } else {
        format!("{title}\n  The certificate does not prove this: {}.\n", view.because)
    }
}
