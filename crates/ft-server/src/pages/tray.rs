//! The tray of a machine: its slots, in words and as a picture, and what is missing.

use axum::extract::Path;
use axum::response::Response;
use ft_pages::{Language, MissingLine, Page, Slot, SlotState, TrayView};

use super::{Visit, live};
use crate::api::run;
use crate::clock::clock;
use crate::current::Current;

/// The tray of a machine.
pub async fn tray(visit: Visit, Path(machine): Path<String>) -> Response {
    visit
        .page_of(Page::Tray, machine, |at, machine| {
            let current = at.site.current();
            let live = live(&current, machine)?;
            Ok(ft_pages::tray(&at.shell, &tray_view(&current, live, at.language)))
        })
        .await
}

fn tray_view(current: &Current, live: &ft_run::Live, language: Language) -> TrayView {
    use ft_compile::lower::part;
    let code = language.code();
    let now = current.night.machines.get(&live.ready.name);
    let mut slots = Vec::new();
    for of in live.followed() {
        let told = current.part(&live.ready.name, &of.part);
        let value = now.map_or(part::FITTED, |now| now.state.vals[of.var]);
        let journey = told.and_then(|told| told.journey);
        let state = match (told.is_some_and(|told| told.missing), journey) {
            (true, _) => SlotState::Missing,
            (false, Some(ft_record::Journey::LaidOut)) => SlotState::Full,
            (false, Some(ft_record::Journey::Fitted)) => SlotState::Fitted,
            (false, _) if value == part::IN_SLOT => SlotState::Full,
            (false, _) => SlotState::Empty,
        };
        let label = ft_app::tonight::pick(&of.labels, code).unwrap_or(&of.part.part).to_owned();
        slots.push(Slot {
            slot: of.slot.unwrap_or_else(|| "–".to_owned()),
            part: of.part.part,
            side: of.part.side,
            number: of.part.number,
            label,
            state,
            seen: told.and_then(|told| {
                let by = told.seen_by.as_deref().unwrap_or_default();
                told.seen_at_ms.map(|at| format!("{by} {}", clock(at)))
            }),
        });
    }
    slots.sort_by_key(|slot| ft_run::slot_place(&slot.slot));
    let missing = run::missing(current, live, code);
    TrayView {
        label: live.label(code).to_owned(),
        picture: tray_picture(live, &slots, code),
        slots,
        missing: missing
            .into_iter()
            .map(|one| MissingLine { label: one.label, slot: one.slot.unwrap_or_default(), look: one.look })
            .collect(),
    }
}

/// The tray as it is drawn on paper too, with what is in each slot now.
fn tray_picture(live: &ft_run::Live, slots: &[Slot], language: &str) -> Option<String> {
    let fitted: Vec<_> = live.ready.variant.options.iter().copied().collect();
    let mut tray = ft_draw_tray::tray(live.ready.file.machine.as_ref()?, &fitted, language);
    for drawn in tray.slots_mut() {
        let is_same = |slot: &&Slot| {
            slot.part == drawn.part
                && slot.side == drawn.side
                && slot.number.is_none_or(|number| number == drawn.nth.0)
        };
        drawn.state = match slots.iter().find(is_same).map(|slot| slot.state) {
            Some(SlotState::Full) => ft_draw_tray::State::Filled,
            Some(SlotState::Missing) => ft_draw_tray::State::Missing,
            Some(SlotState::Fitted) => ft_draw_tray::State::Fitted,
            Some(SlotState::Empty) | None => ft_draw_tray::State::Empty,
        };
    }
    Some(ft_draw_tray::svg(&tray))
}
