//! Paper out of the pages, as PDF: labels of a lot, and the packet of a night, of a week, of a lot.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use ft_lots::InventoryView;
use ft_morning::NoLabel;
use ft_pages::Language;
use ft_paper::{NoPaper, Paper, Turn, labels, packet};
use serde::Deserialize;

use super::desk::{limits, place};
use super::packets;
use crate::api::{beside, run};
use crate::body::Asked;
use crate::ids::now_ms;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// The most labels that are made at once: a slip of the finger is not to empty the printer.
const MOST_COPIES: usize = 100;
/// The most days that a packet goes back.
const MOST_DAYS: u32 = 31;

/// What may stand behind the question mark.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    /// `a4`, `letter`, or for labels `single`: one to a page.
    paper: Option<String>,
    /// How many labels.
    copies: Option<usize>,
    /// How many days the packet goes back; 1: that night.
    pub(super) days: Option<u32>,
    /// The lot, where the path does not name it.
    pub(super) lot: Option<String>,
    language: Option<String>,
}

impl Wanted {
    /// The language that is asked for, else that of whoever asks.
    pub(super) fn language(&self, who: &Who) -> Language {
        let code = run::language_of(self.language.as_deref(), who);
        Language::of(code).unwrap_or(Language::English)
    }

    /// The paper, and whether each label has a page of its own.
    fn sheet(&self) -> Result<(Paper, bool), Problem> {
        match self.paper.as_deref() {
            None | Some("a4") => Ok((Paper::A4, false)),
            Some("letter") => Ok((Paper::Letter, false)),
            Some("single") => Ok((Paper::A4, true)),
            Some(other) => Err(Problem::bad(
                "W0487",
                format!("{other:?} is no paper."),
                "Ask for `a4`, `letter` or, of labels, `single`.",
            )),
        }
    }
}

/// Labels of a lot that is held.
///
/// # Errors
/// [`Problem`]: nothing of that name is held, or it has to go.
pub async fn label(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(lot): Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Problem> {
    beside(&site, move |site| {
        let (paper, is_single) = wanted.sheet()?;
        let copies = wanted.copies.unwrap_or(1);
        if !(1..=MOST_COPIES).contains(&copies) {
            let remedy = format!("Ask for 1 to {MOST_COPIES}.");
            return Err(Problem::bad("W0488", format!("{copies} labels are not made at once."), remedy));
        }
        let now = now_ms();
        let desk = site.desk()?;
        let books = desk.morning.books();
        let inventory = InventoryView::new(books, now, &limits(now), &desk.predicted(now));
        let current = site.current();
        let kitchen = place(&current, wanted.language(&who));
        let made = ft_morning::labels(&kitchen, &inventory, &lot, books.lots().get(&lot), copies)
            .map_err(|why| no_label(why, &lot))?;
        let bytes = if is_single { labels::single(&made) } else { labels::sheets(&made, paper) };
        pdf(bytes, &format!("label-{lot}"))
    })
    .await
}

fn no_label(why: NoLabel, lot: &str) -> Problem {
    match why {
        NoLabel::NotHeld => Problem::no_such(format!("Nothing called {lot:?} is held.")),
        NoLabel::Vessel => Problem::conflict(
            "W0489",
            format!("{lot} is a vessel of a machine, and gets no label."),
            "Print the label of the lot that was filled in.",
        ),
        NoLabel::MustGo => Problem::conflict(
            "W0489",
            format!("{lot} has to go now, and gets no label that would say otherwise."),
            "Discard it and tell it.",
        ),
    }
}

/// The packet of a night, or of the days that end with it.
///
/// # Errors
/// [`Problem`]: there is no such night.
pub async fn nights(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(run): Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Problem> {
    beside(&site, move |site| of_nights(site, &run, &wanted, &who)).await
}

/// The packet of a lot.
///
/// # Errors
/// [`Problem`]: there is no such lot.
pub async fn lot(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(lot): Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Problem> {
    beside(&site, move |site| of_lot(site, &lot, &wanted, &who)).await
}

pub(super) fn of_nights(site: &Site, run: &str, wanted: &Wanted, who: &Who) -> Result<Response, Problem> {
    let (paper, _) = wanted.sheet()?;
    let days = wanted.days.unwrap_or(1);
    if !(1..=MOST_DAYS).contains(&days) {
        let remedy = format!("Ask for 1 to {MOST_DAYS}.");
        return Err(Problem::bad("W0488", format!("A packet does not go back {days} days."), remedy));
    }
    let made = packets::nights(site, run, days, wanted.language(who))?;
    of_packet(&made, paper, &format!("packet-{run}"))
}

pub(super) fn of_lot(site: &Site, lot: &str, wanted: &Wanted, who: &Who) -> Result<Response, Problem> {
    let (paper, _) = wanted.sheet()?;
    of_packet(&packets::lot(site, lot, wanted.language(who))?, paper, &format!("packet-{lot}"))
}

fn of_packet(made: &packet::Packet, paper: Paper, name: &str) -> Result<Response, Problem> {
    pdf(packet::document(made).and_then(|document| ft_paper::pdf(&document, paper, Turn::Portrait)), name)
}

/// A PDF to look at, which is saved under a name of letters, digits and dashes.
fn pdf(made: Result<Vec<u8>, NoPaper>, name: &str) -> Result<Response, Problem> {
    let bytes = made.map_err(|why| match &why {
        NoPaper::Measure(_) | NoPaper::TooLongForQr(_) => {
            Problem::bad("W0490", format!("It cannot be printed: {why}."), "Give it a shorter name.")
        }
        NoPaper::Picture(_) | NoPaper::Refused(_) => {
            eprintln!("a document was not made: {why}");
            Problem::new(
                axum::http::StatusCode::INTERNAL_SERVER_ERROR,
                "W0500",
                "The document could not be made.",
                "This is an error of the program: report it.",
            )
        }
    })?;
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let shown = format!("inline; filename=\"{plain}.pdf\"");
    Ok(([(CONTENT_TYPE, "application/pdf".to_owned()), (CONTENT_DISPOSITION, shown)], bytes).into_response())
}
