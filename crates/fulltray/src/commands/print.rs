//! `fulltray print`: documents as PDF.

mod cards;
mod poster;

use ft_paper::{Document, NoPaper, Paper, Turn, labels, packet, tray_map};

use crate::args::{LabelsArgs, PacketArgs, PaperSize, PrintArgs, PrintWhat, ToArgs, TrayArgs};
use crate::exit::{Answer, Failure};
use crate::{input, output};

/// Makes the document that was asked for.
pub fn run(args: &PrintArgs) -> Result<Answer, Failure> {
    match &args.what {
        PrintWhat::Cards(args) => cards::run(args),
        PrintWhat::Tray(args) => tray(args),
        PrintWhat::Poster(args) => poster::run(args),
        PrintWhat::Labels(args) => labels(args),
        PrintWhat::Packet(args) => packet(args),
    }
}

fn tray(args: &TrayArgs) -> Result<Answer, Failure> {
    let source = input::text(&args.file)?;
    let (machine, fitted, remarks) =
        ft_app::machine(&source, &args.fitted).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    if !remarks.is_empty() {
        eprint!("{}", crate::exit::told(&source, &ft_app::Trouble::Problems(remarks)));
    }
    let fitted: Vec<usize> = fitted.into_iter().collect();
    let tray = ft_draw_tray::tray(&machine, &fitted, &args.language);
    if tray.slots().next().is_none() {
        return Err(Failure::plain(
            "F0079",
            format!("{}: no part of this machine has a slot on the tray", args.file),
            "give parts a slot, such as `part \"door\" slot=\"A1\"`",
        ));
    }
    write(tray_map::document(&tray, paper(&args.to)), Turn::Portrait, &args.to)
}

fn labels(args: &LabelsArgs) -> Result<Answer, Failure> {
    let labels: labels::Labels = json(&args.file)?;
    let made = if args.single { labels::single(&labels) } else { labels::sheets(&labels, paper(&args.to)) };
    save(made, &args.to)
}

fn packet(args: &PacketArgs) -> Result<Answer, Failure> {
    let packet: packet::Packet = json(&args.file)?;
    write(packet::document(&packet), Turn::Portrait, &args.to)
}

/// Reads an input that comes as JSON.
fn json<T: serde::de::DeserializeOwned>(path: &str) -> Result<T, Failure> {
    let source = input::text(path)?;
    serde_json::from_str(&source.text).map_err(|error| {
        Failure::plain("F0079", format!("{path}: {error}"), "the form is described in docs/paper.md")
    })
}

fn paper(to: &ToArgs) -> Paper {
    match to.paper {
        PaperSize::A4 => Paper::A4,
        PaperSize::Letter => Paper::Letter,
    }
}

/// Writes a document, if there is one.
fn write(document: Result<Document, NoPaper>, turn: Turn, to: &ToArgs) -> Result<Answer, Failure> {
    save(document.and_then(|document| ft_paper::pdf(&document, paper(to), turn)), to)
}

fn save(made: Result<Vec<u8>, NoPaper>, to: &ToArgs) -> Result<Answer, Failure> {
    let bytes = made.map_err(|why| {
        let remedy = match &why {
            NoPaper::Measure(_) => "give another size, or shorter words",
            NoPaper::TooLongForQr(_) => "shorten the code, or give a larger label",
            NoPaper::Picture(_) => "take a picture that Fulltray drew",
            NoPaper::Refused(_) => "this is an error of the program: please report it with its input",
        };
        Failure::plain("F0079", why.to_string(), remedy)
    })?;
    output::bytes(&to.to, &bytes)?;
    Ok(Answer::Yes)
}
