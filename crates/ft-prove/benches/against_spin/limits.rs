//! What has a stated limit: the named large procedures, questions from the middle of the work, repairs.

use std::time::{Duration, Instant};

use ft_form::Form;
use ft_form::walk::State;
use ft_prove::{Limits, check, live, order, repair};
use ft_testkit::chance::Chance;
use ft_testkit::kiosk::{self, Size};

use crate::grows::steps_a_side;
use crate::{HEAD, compare, ms, read};

/// Prints all of it.
pub fn tables(with_spin: bool) {
    println!(
        "\n## The named limits: check under 20 ms, and never more than 200 MB (the last line)\n\n{HEAD}"
    );
    let shared = kiosk::whole(3, Size { sides: 3, parts: 4, rinses: 4, people: 4, is_loose: true });
    let name = format!("3 sides of {} steps, loose, all shared, 4 people", steps_a_side(&shared));
    compare("3 x 40, loose, all shared, 4 people", &read("safe_3x40_loose_full"), with_spin);
    compare("3 x 40, carried, 4 people", &read("safe_3x40_carried_p4_door2"), with_spin);
    compare(&name, &shared, with_spin);
    compare("2 x 40, all shared, a part fitted too early", &fitted_early(), with_spin);
    questions(&shared);
    repairs();
}

/// Two of the three sides of `safe_3x40_loose_full`; the first one's draw valve may be fitted while it still soaks.
fn fitted_early() -> Form {
    let mut form = read("safe_3x40_loose_full");
    let is_third = |name: &str| name.starts_with("b3.");
    let kept: Vec<usize> =
        (0..form.events.len()).filter(|&event| !is_third(&form.events[event].name)).collect();
    let place = |event: usize| kept.binary_search(&event).ok();
    form.events.retain(|event| !is_third(&event.name));
    for event in &mut form.events {
        event.pre = event.pre.iter().filter_map(|&before| place(before)).collect();
    }
    form.hazards.retain(|hazard| !is_third(&hazard.id));
    for hazard in &mut form.hazards {
        hazard.on = hazard.on.and_then(place);
    }
    let vars = &form.vars;
    form.goal.retain(|part| !is_third(&vars[part.var].name));
    let find = |name: &str| form.events.iter().position(|event| event.name == name).expect("it is there");
    let (fit, begin) = (find("b1.fit_drawvalve"), find("b1.soak_drawvalve@start"));
    let end = find("b1.soak_drawvalve@end");
    let valve = form.events[end].eff[0].var;
    let fit = &mut form.events[fit];
    fit.pre.iter_mut().filter(|before| **before == end).for_each(|before| *before = begin);
    fit.guard.retain(|part| part.var != valve);
    form
}

fn questions(form: &Form) {
    let begin = Instant::now();
    let minimal = order(form, &Limits::default()).map(|order| order.is_minimal);
    println!(
        "\n- order of {} events in {:.1} ms, minimal: {minimal:?}",
        form.events.len(),
        ms(begin.elapsed())
    );
    let state = State::start(form);
    let each = |ask: &dyn Fn(usize)| {
        let begin = Instant::now();
        (0..20).for_each(|_| (0..form.events.len()).for_each(ask));
        begin.elapsed().as_secs_f64() * 1e6 / (20 * form.events.len()) as f64
    };
    let may = each(&|event| drop(std::hint::black_box(live::may(form, &state, event))));
    let what_if = each(&|event| drop(std::hint::black_box(live::what_if(form, &state, event))));
    println!("- may {may:.2} µs, what_if {what_if:.2} µs (limit 20 µs)");
}

fn repairs() {
    let (mut slowest, mut repaired) = (Duration::ZERO, 0);
    for seed in 0..60 {
        let form = kiosk::form(9_000_000 + seed, kiosk::large(&mut Chance::new(seed)));
        if check(&form, &Limits::default()).flaws().is_empty() {
            continue;
        }
        let begin = Instant::now();
        std::hint::black_box(repair(&form, &Limits::default()));
        slowest = slowest.max(begin.elapsed());
        repaired += 1;
    }
    println!(
        "- repair (or what is missing) of {repaired} flawed drawn ones: slowest {:.1} ms (limit 1 s)",
        ms(slowest)
    );
}
