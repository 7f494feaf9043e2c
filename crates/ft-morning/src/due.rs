//! What is due today beside product: by calendar, and by age.

use ft_machine::{Every, Procedure};
use ft_wear::view::WearView;

use crate::site::Site;

/// Duties of a day, a sentence each: steps of the machine files that are due on this weekday (Monday = 0), and parts
/// whose last day is today or has passed. `procedures`: those of each machine of the
/// kitchen.
pub fn duties(
    site: &Site<'_>,
    weekday: u8,
    procedures: &[(&str, &[Procedure])],
    wear: Option<&WearView>,
) -> Vec<String> {
    let mut duties = Vec::new();
    for (name, procedures) in procedures {
        for procedure in *procedures {
            for step in procedure.steps.iter().filter(|step| step.every == Some(Every::Week(weekday))) {
                let title = site.pick(&step.named.label, &step.named.name);
                let of = site.pick(&procedure.named.label, &procedure.named.name);
                duties.push(format!("{}: {title} ({of})", site.label(name)));
            }
        }
    }
    for kind in wear.iter().flat_map(|view| &view.parts) {
        for due in kind.due.iter().filter(|due| due.days_left.is_some_and(|left| left <= 0)) {
            let word = site.say("change", "cambiar");
            let day = due.due.as_deref().unwrap_or("–");
            duties.push(format!("{}: {word} {} ({day})", due.place, kind.part));
        }
    }
    duties
}
