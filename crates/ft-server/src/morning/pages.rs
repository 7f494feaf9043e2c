//! The morning's pages.

use axum::extract::Path;
use axum::response::Response;
use ft_lots::{GlassView, InventoryView, TraceView};
use ft_pages::Page;
use ft_people::{PeopleView, Settings};
use ft_record::Role;

use super::desk::{files, limits, place, said};
use super::inspector::links;
use super::wear;
use crate::ids::now_ms;
use crate::pages::Visit;
use crate::problem::Problem;
use crate::site::are_lengths_used;
use crate::who::Who;

/// Whether somebody has one of some roles.
pub(super) fn is_any(who: &Who, roles: &[Role]) -> bool {
    who.roles.iter().any(|role| roles.contains(role))
}

fn is_crew(who: &Who) -> bool {
    is_any(who, &[Role::Closer, Role::Opener, Role::Lead, Role::Trainer])
}

/// May it serve?
pub async fn release(visit: Visit) -> Response {
    visit
        .page(Page::Release, |at| {
            let (site, who, language) = (at.site, at.who, at.language);
            let mut desk = site.desk()?;
            let current = site.current();
            let kitchen = place(&current, language);
            let decisions = desk.decisions(&site.store, &files(&current), now_ms())?;
            let with_said: Vec<_> = decisions
                .into_iter()
                .map(|decision| {
                    let said = desk.said.get(&decision.machine).map(|one| said(&kitchen, one));
                    (decision, said)
                })
                .collect();
            let may = (who.is_lead(), is_any(who, &[Role::Opener, Role::Lead]));
            Ok(ft_pages::release(&at.shell, &ft_morning::release(&kitchen, &with_said, may)))
        })
        .await
}

/// Lots.
pub async fn lots(visit: Visit) -> Response {
    visit
        .page(Page::Lots, |at| {
            let (site, who, language) = (at.site, at.who, at.language);
            let desk = site.desk()?;
            let current = site.current();
            let now = now_ms();
            let kept = desk.kept(now);
            let predicted = ft_morning::predicted(&kept);
            let inventory = InventoryView::new(desk.morning.books(), now, &limits(now), &predicted);
            let mut places: Vec<String> =
                current.run.kitchen.places.iter().map(|place| place.name.clone()).collect();
            places.extend(
                desk.places.iter().filter(|place| !places.contains(place)).cloned().collect::<Vec<_>>(),
            );
            let may = (is_crew(who), who.is_lead());
            let kitchen = place(&current, language);
            let files = current.run.machines.iter().map(|live| &live.ready);
            let procedures: Vec<(&str, &[ft_machine::Procedure])> =
                files.map(|ready| (ready.name.as_str(), ready.file.procedures.as_slice())).collect();
            let worn = wear::view(site, &desk, &current, now)?;
            let duties = ft_morning::duties(&kitchen, weekday(now), &procedures, Some(&worn));
            let view = ft_morning::lots(&kitchen, &inventory, &kept, (places, duties), may);
            Ok(ft_pages::lots(&at.shell, &view))
        })
        .await
}

/// Where a lot went.
pub async fn trace(Path(lot): Path<String>, visit: Visit) -> Response {
    visit
        .page(Page::Lots, move |at| {
            let (site, who, language) = (at.site, at.who, at.language);
            let desk = site.desk()?;
            let current = site.current();
            let books = desk.morning.books();
            let now = now_ms();
            let limits = limits(now);
            let view = TraceView::new(books, &lot, &limits);
            let inside = GlassView::new(books, &lot, now, &limits).contents.shares;
            if view.places.is_empty() && inside.is_empty() && !books.lots().contains_key(&lot) {
                return Err(Problem::no_such(format!("There is no lot {lot:?} in the record.")));
            }
            let made_of = if inside.iter().all(|share| share.lot == lot) { Vec::new() } else { inside };
            let may_recall = who.is_lead() && books.lots().contains_key(&lot);
            let view = ft_morning::trace(&place(&current, language), &view, &made_of, may_recall);
            Ok(ft_pages::trace(&at.shell, &view))
        })
        .await
}

/// What was in a glass.
pub async fn glass(visit: Visit) -> Response {
    visit
        .page(Page::Lots, |at| {
            let (site, language) = (at.site, at.language);
            let (vessel, when) =
                (at.query.place.as_deref().unwrap_or_default(), at.query.at.as_deref().unwrap_or_default());
            let at_ms = moment(when).ok_or_else(|| {
                Problem::bad("W0481", format!("{when:?} is no time."), "Write it as 2026-06-01T20:30.")
            })?;
            let desk = site.desk()?;
            let current = site.current();
            let view = GlassView::new(desk.morning.books(), vessel, at_ms, &limits(at_ms));
            Ok(ft_pages::glass(&at.shell, &ft_morning::glass(&place(&current, language), &view)))
        })
        .await
}

/// The day of the week where the server is, Monday = 0.
fn weekday(at_ms: i64) -> u8 {
    let at = jiff::Timestamp::from_millisecond(at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let day = jiff::tz::TimeZone::system().to_datetime(at).date();
    u8::try_from(day.weekday().to_monday_zero_offset()).unwrap_or_default()
}

/// A time as a page writes it, where the server is.
fn moment(text: &str) -> Option<i64> {
    let at: jiff::civil::DateTime = text.parse().ok()?;
    let at = jiff::tz::TimeZone::system().to_ambiguous_timestamp(at).compatible().ok()?;
    Some(at.as_millisecond())
}

/// Parts and spares.
pub async fn parts(Path(machine): Path<String>, visit: Visit) -> Response {
    visit
        .page_of(Page::Parts, machine, |at, machine| {
            let (site, who, language) = (at.site, at.who, at.language);
            let desk = site.desk()?;
            let current = site.current();
            let kitchen = place(&current, language);
            let of = kitchen.machines.iter().find(|place| place.name == machine);
            let of = of.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?}.")))?;
            let live = current.run.machine(machine);
            let fitted: Vec<String> = live
                .map(|live| {
                    let options = live.ready.variant.options.iter();
                    options.map(|option| of.machine.options[*option].name.clone()).collect()
                })
                .unwrap_or_default();
            let nothing = ft_morning::Inspections::default();
            let seen = desk.seen.get(machine).unwrap_or(&nothing);
            let worn = wear::view(site, &desk, &current, now_ms())?;
            let may = (is_crew(who), who.is_lead());
            let view = ft_morning::parts(&kitchen, of, &fitted, seen, Some(&worn), may);
            Ok(ft_pages::parts(&at.shell, &view))
        })
        .await
}

/// Practice.
pub async fn practice(visit: Visit) -> Response {
    visit
        .page(Page::Practice, |at| {
            let (site, who, language) = (at.site, at.who, at.language);
            let desk = site.desk()?;
            let current = site.current();
            let procedures: Vec<(String, Vec<String>)> = current
                .run
                .machines
                .iter()
                .map(|live| {
                    let names = live.ready.file.procedures.iter().map(|of| of.named.name.clone());
                    (live.ready.name.clone(), names.collect())
                })
                .collect();
            let none = ft_morning::Sessions::default();
            let own = desk.sessions.get(who.name()).unwrap_or(&none);
            let view = ft_morning::practice(&place(&current, language), &procedures, own, now_ms());
            Ok(ft_pages::practice(&at.shell, &view))
        })
        .await
}

/// People.
pub async fn people(visit: Visit) -> Response {
    visit
        .page(Page::People, |at| {
            let (site, who, language) = (at.site, at.who, at.language);
            let desk = site.desk()?;
            let current = site.current();
            let skills = &current.run.kitchen.skills;
            let names = skills.iter().map(|skill| skill.name.clone()).collect();
            let view = PeopleView::new(desk.morning.people(), &names, now_ms(), Settings::default());
            let is_used = are_lengths_used(&site.store)?;
            let machines: Vec<_> = current.run.machines.iter().map(|live| &live.ready).collect();
            let learnt = ft_app::tonight::learnt(&machines, &desk.lengths.runs());
            let paces = learnt.people.into_iter().map(|(name, (pace, _))| (name, pace)).collect();
            let kitchen = place(&current, language);
            let links = links(site, &kitchen)?;
            let lengths = is_used.then_some(&paces);
            let shown = ft_morning::people(
                &kitchen,
                &view,
                skills,
                (who.name(), who.roles.as_slice()),
                lengths,
                links,
            );
            Ok(ft_pages::people(&at.shell, &shown))
        })
        .await
}
