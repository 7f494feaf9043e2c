//! Questions from the middle of the work, against the plain walk and the plain explorer.

use ft_form::Form;
use ft_form::walk::State;
use ft_prove::live::{self, Cause, May};
use ft_prove::{Limits, reference};
use ft_testkit::chance::Chance;
use ft_testkit::tiny;

/// Who may make a part true is whoever has not happened and would change its variable, or find it true afterwards.
fn assert_makers(form: &Form, state: &State, cause: &Cause) {
    let Cause::Blocked { part, makers } = cause else { return };
    for event in 0..form.events.len() {
        let after = state.after(form, event);
        let helps = after.holds(form, &[*part]) || after.vals[part.var] != state.vals[part.var];
        assert_eq!(makers.contains(&event), helps && !state.done[event], "{event} of {cause:?}");
    }
}

/// Random walks, also past hazards: `may`, `what_if` and `why_not_yet` say what the walk shows.
#[test]
fn answers_are_what_the_walk_shows() {
    let mut chance = Chance::new(3);
    let (mut hazardous, mut blocked) = (0, 0);
    for seed in 0..500 {
        let form = tiny::form(seed, 7);
        let mut state = State::start(&form);
        loop {
            for event in 0..form.events.len() {
                let answer = live::may(&form, &state, event);
                let causes = live::why_not_yet(&form, &state, event);
                if let Err(why) = state.may(&form, event) {
                    assert_eq!(answer, May::Not(why), "seed {seed}");
                    let is_blocked = |cause: &&Cause| matches!(cause, Cause::Blocked { .. });
                    blocked += causes.iter().filter(is_blocked).count();
                    assert_eq!(causes.is_empty(), state.done[event], "seed {seed}");
                    for cause in &causes {
                        assert_makers(&form, &state, cause);
                    }
                    continue;
                }
                let told = live::what_if(&form, &state, event);
                let after = state.after(&form, event);
                assert_eq!(told.after, after);
                let shown: Vec<usize> = (0..form.hazards.len())
                    .filter(|&index| match form.hazards[index].on {
                        Some(on) => on == event && state.shows(&form, &form.hazards[index]),
                        None => after.shows(&form, &form.hazards[index]),
                    })
                    .collect();
                assert_eq!(told.hazards, shown, "seed {seed}");
                assert_eq!(told.is_dead_end, !after.is_finished() && after.open(&form).is_empty());
                let (before, later) = (state.open(&form), after.open(&form));
                let gone = |from: &[usize], to: &[usize]| {
                    from.iter().copied().filter(|one| *one != event && !to.contains(one)).collect::<Vec<_>>()
                };
                assert_eq!((told.opens, told.closes), (gone(&later, &before), gone(&before, &later)));
                let missed = form.goal.iter().filter(|part| !after.holds(&form, &[**part]));
                let missed: Vec<_> = missed.copied().filter(|_| after.is_finished()).collect();
                assert_eq!(told.missed, missed, "seed {seed}");
                let expected: Vec<Cause> = shown.iter().map(|&index| Cause::Hazard(index)).collect();
                assert_eq!(causes, expected);
                assert_eq!(answer == May::Yes, shown.is_empty());
                hazardous += usize::from(answer != May::Yes);
            }
            let open = state.open(&form);
            if open.is_empty() {
                break;
            }
            state = state.after(&form, open[chance.below(open.len())]);
        }
    }
    println!("{hazardous} hazardous, {blocked} blocked");
    assert!(hazardous > 100 && blocked > 100);
}

/// From a state that no plan foresaw: the remainder has the flaws that the plain explorer finds from there.
#[test]
fn what_remains_is_checked_from_where_it_is() {
    let mut chance = Chance::new(4);
    for seed in 0..500 {
        let form = tiny::form(seed, 7);
        let mut state = State::start(&form);
        for event in 0..form.events.len() {
            // Whether or not it may: somebody did it.
            if chance.percent(40) {
                state = state.after(&form, event);
            }
        }
        let rest = live::remainder(&form, &state);
        let concerns = |hazard: &usize| form.hazards[*hazard].on.is_none_or(|on| !state.done[on]);
        let hazards: Vec<usize> = (0..form.hazards.len()).filter(concerns).collect();
        assert_eq!(rest.hazards, hazards, "seed {seed}");
        let verdict = live::recheck(&form, &state, &Limits::default());
        let plain = reference::explore(&rest.form, 100_000);
        assert!(plain.whole);
        assert_eq!(verdict.flaws().len(), plain.flaws.len(), "seed {seed}");
        for (flaw, plain) in verdict.flaws().iter().zip(&plain.flaws) {
            assert_eq!(flaw.story.len(), plain.story.len(), "seed {seed}");
            assert!(
                flaw.story.iter().all(|&event| !state.done[event]),
                "seed {seed}: it is told in whole events"
            );
        }
        if let Ok(order) = live::reorder(&form, &state, &Limits::default()) {
            assert!(order.edges.iter().all(|edge| !state.done[edge.before] && !state.done[edge.after]));
        }
    }
}
