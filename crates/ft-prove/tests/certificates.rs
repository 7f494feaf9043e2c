//! Every proof's certificate convinces the referee, and spoiled certificates do not.

use ft_form::certificate::{self, Certificate, Claim};
use ft_form::{Allowed, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_prove::{Limits, Verdict, check, reference};
use ft_testkit::chance::Chance;
use ft_testkit::tiny;

fn certificate_of(form: &Form) -> Option<Certificate> {
    match check(form, &Limits::default()) {
        Verdict::Proved(proof) => Some(proof.certificate),
        Verdict::Flaw(_) | Verdict::TooLarge(_) => None,
    }
}

#[test]
fn the_referee_accepts_each_proof_and_its_text() {
    let mut count = 0;
    for seed in 0..3000 {
        let form = if seed % 3 == 0 { tiny::kits(seed) } else { tiny::form(seed, 7) };
        let Some(certificate) = certificate_of(&form) else { continue };
        let read = certificate::parse(&certificate::print(&certificate)).expect("our own text");
        assert_eq!(read, certificate);
        if let Err(problem) = ft_verify::verify(&form, &certificate) {
            panic!("seed {seed}: {problem}\n{certificate:#?}\n{form:#?}");
        }
        count += 1;
    }
    println!("{count} certificates");
    assert!(count > 500);
}

/// Prover and referee go through the same values of what a slice does not follow, on both sides of where that is
/// given up; a certificate tells how many states there are, so that any difference shows.
#[test]
fn they_count_the_same_cases() {
    let (mut proved, mut states) = (0, 0);
    for seed in 0..1500 {
        let form = tiny::wide(seed);
        assert_eq!(form.problems(), Vec::<String>::new(), "seed {seed}");
        let verdict = check(&form, &Limits::default());
        let plain = reference::explore(&form, 100_000);
        assert_eq!(verdict.is_proved(), plain.flaws.is_empty(), "seed {seed}");
        let Verdict::Proved(proof) = verdict else { continue };
        match ft_verify::verify(&form, &proof.certificate) {
            Ok(verified) => states += verified.states,
            Err(problem) => panic!("seed {seed}: {problem}\n{form:#?}"),
        }
        proved += 1;
    }
    println!("{proved} of 1500 are safe, with {states} states in all");
    assert!(300 < proved && proved < 1200);
}

/// One event with so many effects on `done`, each of which looks at one of three variables that nobody follows.
fn looks_often(effects: usize) -> Form {
    let var = |name: &str, hi: i32| Var {
        name: name.into(),
        lo: 0,
        hi,
        init: 0,
        kind: VarKind::Num,
        vals: vec![],
        words: Words::new(),
    };
    let looks = |at: usize| Effect {
        when: vec![Allowed { var: 1 + at % 3, mask: 1 << at }],
        var: 0,
        op: Op::Set,
        c: 1,
    };
    let mut event = Event::new("e", "e", EventKind::Do);
    event.eff = (0..effects).map(looks).collect();
    let never = Hazard {
        id: "never".into(),
        on: None,
        when: vec![Allowed { var: 0, mask: 0b100 }],
        words: Words::new(),
        origin: None,
    };
    Form {
        name: "looks often".into(),
        people: 1,
        vars: vec![var("done", 2), var("a", 63), var("b", 63), var("c", 63)],
        events: vec![event],
        hazards: vec![never],
        ..Form::default()
    }
}

/// Effects that may each happen or not are twice as many cases with each: 4,096 are gone through, more are not begun.
#[test]
fn too_many_cases_are_too_large() {
    let twelve = looks_often(12);
    let proof = certificate_of(&twelve).expect("4,096 cases are gone through");
    assert!(ft_verify::verify(&twelve, &proof).is_ok());
    for effects in [13, 40, 64] {
        let form = looks_often(effects);
        assert!(matches!(check(&form, &Limits::default()), Verdict::TooLarge(_)), "{effects} effects");
        let said =
            ft_verify::verify(&form, &proof).expect_err("it is not for the referee to go through, either");
        assert!(said.contains("more than 12 effects"), "{said}");
    }
}

/// Of two questions asked together one fails, and it is the one that tells two steps apart: what is claimed in the end
/// no longer does, and its states are counted anew.
#[test]
fn states_are_those_of_what_is_claimed() {
    let bring = Effect { when: vec![], var: 0, op: Op::Add, c: 1 };
    let event = |name: &str, pre: &[usize], guard: &[Allowed], eff: &[Effect]| {
        let mut event = Event::new(name, name, EventKind::Do);
        (event.pre, event.guard, event.eff) = (pre.to_vec(), guard.to_vec(), eff.to_vec());
        event
    };
    let both = [Allowed { var: 0, mask: 0b100 }];
    let mut form = looks_often(0);
    form.events = vec![
        event("one", &[], &[], std::slice::from_ref(&bring)),
        event("other", &[], &[], &[bring]),
        event("waits", &[0], &both, &[]),
        event("finds both", &[0, 1], &both, &[]),
    ];
    form.hazards.clear();
    let proof = certificate_of(&form).expect("both are brought");
    let ready = |slice: &&certificate::Slice| slice.claims == [Claim::Ready { event: 3, part: 0 }];
    assert_eq!(proof.slices.iter().find(ready).expect("it is claimed").states, 3);
    assert!(ft_verify::verify(&form, &proof).is_ok());
    let Verdict::Proved(proof) = check(&form, &Limits::default()) else { panic!("it is proved") };
    assert_eq!(proof.states, 12, "those of what was asked in vain, too");
}

/// One random edit of a certificate.
fn spoil(certificate: &mut Certificate, form: &Form, chance: &mut Chance) {
    let slices = certificate.slices.len();
    let slice = chance.below(slices);
    let of = &mut certificate.slices[slice];
    match chance.below(10) {
        0 => drop(certificate.slices.remove(slice)),
        1 => of.states = of.states.wrapping_add(chance.bits() % 5).wrapping_sub(2),
        2 if !of.vars.is_empty() => drop(of.vars.remove(chance.below(of.vars.len()))),
        3 if !of.events.is_empty() => drop(of.events.remove(chance.below(of.events.len()))),
        4 => of.vars.push(chance.below(form.vars.len() + 1)),
        5 => of.events.push(chance.below(form.events.len() + 1)),
        6 if !of.claims.is_empty() => drop(of.claims.remove(chance.below(of.claims.len()))),
        7 => of.claims.push(match chance.below(6) {
            0 => Claim::Hazard(chance.below(form.hazards.len() + 1)),
            1 => Claim::Goal(chance.below(form.goal.len() + 1)),
            2 => Claim::Deadlock,
            3 => Claim::Ready { event: chance.below(form.events.len() + 1), part: chance.below(2) },
            4 => Claim::Always { var: chance.below(form.vars.len() + 1), mask: chance.bits() & 7 },
            _ => Claim::Rest { var: chance.below(form.vars.len() + 1), mask: chance.bits() & 7 },
        }),
        8 => {
            let other = chance.below(slices);
            certificate.slices.swap(slice, other);
        }
        _ => {
            let (before, after) = (chance.below(form.events.len()), chance.below(form.events.len()));
            let var = chance.below(form.vars.len());
            certificate.inferred.push(certificate::Inferred { before, after, var });
        }
    }
}

/// A spoiled certificate may still prove its form: it may claim less than it could, or more that is true. It
/// must never be taken for a proof of a form that has a flaw.
#[test]
fn spoiled_certificates_prove_nothing_that_is_wrong() {
    let mut chance = Chance::new(1);
    let (mut tried, mut rejected) = (0, 0);
    for seed in 0..1500 {
        let form = tiny::form(seed, 7);
        let Some(good) = certificate_of(&form) else { continue };
        for _ in 0..4 {
            let mut spoiled = good.clone();
            spoil(&mut spoiled, &form, &mut chance);
            if spoiled == good {
                continue;
            }
            tried += 1;
            // Where it is accepted, each claim has been confirmed anew, so it is as good a proof.
            rejected += u32::from(ft_verify::verify(&form, &spoiled).is_err());
        }
    }
    println!("{rejected} of {tried} edits rejected, the others are proofs too");
    assert!(tried > 1000 && rejected * 2 > tried);
}

/// The certificate of one form shown for another: whatever is accepted must be safe.
#[test]
fn no_certificate_proves_a_flawed_form() {
    let mut chance = Chance::new(2);
    let (mut flawed, mut accepted) = (0, 0);
    for seed in 0..16_000 {
        let form = tiny::form(seed, 6);
        let Some(mut certificate) = certificate_of(&form) else { continue };
        let mut other = form.clone();
        change(&mut other, &mut chance);
        if !other.problems().is_empty() {
            continue;
        }
        let states = chance.percent(50);
        for slice in &mut certificate.slices {
            // A forger would correct the counts.
            if states {
                slice.states += u64::from(chance.percent(20));
            }
        }
        let is_safe = reference::explore(&other, 100_000).flaws.is_empty();
        flawed += u32::from(!is_safe);
        if ft_verify::verify(&other, &certificate).is_ok() {
            accepted += 1;
            assert!(is_safe, "seed {seed}: a flawed form was accepted\n{other:#?}");
        }
    }
    println!("{flawed} flawed forms, none accepted; {accepted} safe ones accepted");
    assert!(flawed > 300 && accepted > 100);
}

/// One random change of a form.
fn change(form: &mut Form, chance: &mut Chance) {
    let event = chance.below(form.events.len());
    match chance.below(5) {
        0 => drop(form.events[event].pre.pop()),
        1 => drop(form.events[event].guard.pop()),
        2 => drop(form.events[event].eff.pop()),
        3 => {
            if let Some(part) = form.events[event].guard.first_mut() {
                part.mask ^= 1 << chance.below(3);
            }
        }
        _ => {
            if let Some(part) = form.hazards.first_mut().and_then(|hazard| hazard.when.first_mut()) {
                part.mask |= 1 << chance.below(3);
            }
        }
    }
}
