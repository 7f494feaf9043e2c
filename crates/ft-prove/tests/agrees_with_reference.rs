//! The fast prover and the plain explorer give the same verdict, the same kinds of flaw and stories of the
//! same length, and every story can be carried out.

use ft_form::Form;
use ft_form::walk;
use ft_prove::{FlawKind, Limits, Verdict, check, reference};
use ft_testkit::tiny;

/// Compares the two on one form; says whether it is safe.
fn compare(form: &Form, seed: u64) -> bool {
    let plain = reference::explore(form, 200_000);
    assert!(plain.whole, "seed {seed} is too large for the plain explorer");
    let verdict = check(form, &Limits::default());
    assert!(!matches!(verdict, Verdict::TooLarge(_)), "seed {seed}: {verdict:?}");
    let told =
        |flaws: &[ft_prove::Flaw]| flaws.iter().map(|flaw| (flaw.kind, flaw.story.len())).collect::<Vec<_>>();
    assert_eq!(told(verdict.flaws()), told(&plain.flaws), "seed {seed}: {form:#?}");
    for flaw in verdict.flaws() {
        assert_shows(form, flaw.kind, &flaw.story, seed);
    }
    verdict.is_proved()
}

fn assert_shows(form: &Form, kind: FlawKind, story: &[usize], seed: u64) {
    match kind {
        FlawKind::Hazard(index) => {
            let hazard = &form.hazards[index];
            let before = if hazard.on.is_some() { &story[..story.len() - 1] } else { story };
            assert_eq!(hazard.on.is_some().then(|| story[story.len() - 1]), hazard.on, "seed {seed}");
            let state = walk::replay(form, before).expect("a story can be carried out");
            assert!(state.shows(form, hazard), "seed {seed}: the story ends in its hazard");
        }
        FlawKind::Deadlock => {
            let state = walk::replay(form, story).expect("a story can be carried out");
            assert!(state.open(form).is_empty() && !state.is_finished(), "seed {seed}");
        }
        FlawKind::Goal => {
            let state = walk::replay(form, story).expect("a story can be carried out");
            assert!(state.is_finished() && !state.holds(form, &form.goal), "seed {seed}");
        }
    }
}

#[test]
fn on_thousands_of_tiny_forms() {
    let safe = (0..4000).filter(|&seed| compare(&tiny::form(seed, 7), seed)).count();
    println!("{safe} of 4000 are safe");
    assert!(400 < safe && safe < 3600, "both sorts are met: {safe} safe");
}

/// A circle in `pre` is a deadlock, not a mistake in the form.
#[test]
fn on_circles() {
    for seed in 0..300 {
        let mut form = tiny::form(seed, 6);
        let last = form.events.len() - 1;
        form.events[last].pre = vec![0];
        form.events[0].pre = vec![last];
        assert!(!compare(&form, seed), "seed {seed}: nothing in the circle can happen");
    }
}

#[test]
fn on_steps_that_hold_kit() {
    let safe = (0..3000).filter(|&seed| compare(&tiny::kits(seed), seed)).count();
    println!("{safe} of 3000 are safe");
    assert!(600 < safe && safe < 2700, "both sorts are met: {safe} safe");
}

#[test]
fn on_drawn_kiosks() {
    let mut chance = ft_testkit::chance::Chance::new(7);
    let (mut safe, mut seen) = (0, 0);
    for seed in 0..60 {
        let size = ft_testkit::kiosk::small(&mut chance);
        let form = ft_testkit::kiosk::form(seed, size);
        assert_eq!(form.problems(), Vec::<String>::new());
        if reference::explore(&form, 4_000).whole {
            seen += 1;
            safe += u32::from(compare(&form, seed));
        }
    }
    println!("{seen} of 60 fit the plain explorer, {safe} safe");
    assert!(20 < seen && 5 < safe && safe < seen);
}

/// With too little work allowed the answer is `TooLarge` or the right one: never a false proof, and every flaw that
/// is told is one.
#[test]
fn limits_never_make_a_wrong_answer() {
    let mut too_large = 0;
    for seed in 0..400 {
        let form = tiny::form(seed, 7);
        let plain = reference::explore(&form, 200_000);
        for states in [0, 1, 2, 3, 5, 8, 13, 21, 34, 55] {
            match check(&form, &Limits { states, ..Limits::default() }) {
                Verdict::Proved(_) => assert!(plain.flaws.is_empty(), "seed {seed}, {states} states"),
                Verdict::Flaw(flaws) => assert_eq!(flaws.len(), plain.flaws.len(), "seed {seed}"),
                Verdict::TooLarge(covered) => {
                    too_large += 1;
                    assert!(!covered.undecided.is_empty());
                    for flaw in covered.flaws {
                        assert_shows(&form, flaw.kind, &flaw.story, seed);
                    }
                }
            }
        }
    }
    println!("too large {too_large} times");
    assert!(too_large > 500);
}
