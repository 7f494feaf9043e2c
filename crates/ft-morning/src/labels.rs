//! Labels for lots that are held: what it is, until when, how it is kept.

use ft_lots::{Due, Held, InventoryView, Lot};
use ft_paper::labels::{Label, LabelSheet, Labels};

use crate::site::Site;

/// Why a lot gets no label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLabel {
    /// Nothing of that name is held.
    NotHeld,
    /// It is a vessel of a machine, which nobody sticks a date on.
    Vessel,
    /// It has to go: a label would say that it may be kept.
    MustGo,
}

/// `copies` labels of a lot that is held, in the page's language; `lot` is what was told of it.
///
/// The code on it is the lot's name: what a reader says is what the page of lots is asked for.
///
/// # Errors
/// [`NoLabel`].
pub fn labels(
    site: &Site<'_>,
    inventory: &InventoryView,
    place: &str,
    lot: Option<&Lot>,
    copies: usize,
) -> Result<Labels, NoLabel> {
    let held = inventory.find(place).ok_or(NoLabel::NotHeld)?;
    if held.kind == "vessel" {
        return Err(NoLabel::Vessel);
    }
    let by_ms = held.by_ms.filter(|_| held.due != Due::Now).ok_or(NoLabel::MustGo)?;
    let product = lot.and_then(Lot::product);
    let label = Label {
        product: product.map_or_else(|| place.to_owned(), |product| site.product(product)),
        lot: place.to_owned(),
        begun: begun(site, held, lot),
        discard_by: site.until(by_ms),
        keep: product.and_then(|product| keep(site, product)).unwrap_or_default(),
        allergens: Vec::new(),
        note: held.stored.clone().unwrap_or_default(),
        code: place.to_owned(),
        copies,
    };
    Ok(Labels {
        language: site.language.code().to_owned(),
        sheet: LabelSheet::default(),
        labels: vec![label],
    })
}

/// When it was opened, made or drawn off; what is closed carries no such day.
fn begun(site: &Site<'_>, held: &Held, lot: Option<&Lot>) -> String {
    let day_one = held.contents.shares.iter().find(|share| share.lot == held.place);
    match (held.kind, lot.and_then(Lot::begun_ms)) {
        ("kept" | "made", Some(begun_ms)) => site.clock(begun_ms),
        _ => day_one.and_then(|share| share.day_one.clone()).unwrap_or_default(),
    }
}

/// How it is kept, of a product that a machine file knows.
fn keep(site: &Site<'_>, product: &str) -> Option<String> {
    let known = site.machines.iter().flat_map(|place| &place.machine.products);
    let below = known.filter(|known| known.named.name == product).find_map(|known| known.keep_below)?;
    Some(format!("{} {below}", site.say("below", "por debajo de")))
}
