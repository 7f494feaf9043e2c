//! Laws that hold for every stack: adding a set never loosens, units never change a verdict.

use ft_rules::{
    Amount, Circumstances, Dimension, RuleSet, SUBJECTS, Solution, Stack, Verdict, shipped, subject_named,
};
use ft_units::{Quantity, Strength, StrengthUnit, Temperature, TemperatureUnit, Time, TimeUnit, Unit};
use jiff::civil::{Date, date};
use proptest::prelude::*;

const DAY: Date = date(2026, 6, 1);

fn chosen(mask: u64) -> Vec<&'static RuleSet> {
    shipped().iter().enumerate().filter(|(index, _)| mask >> index & 1 == 1).map(|(_, set)| set).collect()
}

/// An amount of a kind, from a number between 0 and 1 that is spread over what occurs.
fn amount(dimension: Dimension, x: f64) -> Amount {
    let text = match dimension {
        Dimension::Temperature => format!("{:.1} °F", x * 240.0 - 20.0),
        Dimension::Time => format!("{:.1} min", x * x * 30_000.0),
        Dimension::Strength => format!("{:.1} ppm", x * 500.0),
        Dimension::Length => format!("{:.1} cm", x * 60.0),
        Dimension::Count => format!("{:.0} /g", x * 100_000.0),
        Dimension::Density => format!("{:.2} lb/US gal", x * 10.0),
        Dimension::Share => format!("{:.2} %", x * 50.0),
    };
    Amount::parse(&text, dimension).expect("the text is an amount")
}

/// A fail stays a fail, and a pass can only become worse; silence is no permission, so it may become anything.
fn not_looser(before: Verdict, after: Verdict) -> bool {
    before == Verdict::Silent || after <= before
}

fn there_and_back<U: Unit>(quantity: Quantity<U>) -> Vec<Quantity<U>> {
    U::ALL
        .iter()
        .map(|(unit, _)| quantity.to(*unit))
        .flat_map(|other| [other, other.to(quantity.unit)])
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn adding_a_set_never_loosens_a_figure(mask: u64, extra in 0_usize..64, which in 0..SUBJECTS.len(), x in 0.0..1.0) {
        let subject = &SUBJECTS[which];
        let found = Some(amount(subject.dimension, x));
        let unknown = Circumstances::unknown();
        let before = Stack::new(chosen(mask), &[], DAY).ask(subject, found, &unknown);
        let after = Stack::new(chosen(mask | 1 << extra), &[], DAY).ask(subject, found, &unknown);
        prop_assert!(not_looser(before.verdict, after.verdict), "{} to {}", before.verdict.word(), after.verdict.word());
        prop_assert!(before.findings.len() <= after.findings.len(), "nobody is silenced by a set that joins");
    }

    #[test]
    fn adding_a_set_never_loosens_a_solution(
        mask: u64, extra in 0_usize..64, strength in 0.0..300.0, ph in 5.0..11.0, degrees in 40.0..130.0, contact in 0.0..90.0,
    ) {
        let solution = Solution {
            agent: "chlorine",
            strength: Some(Strength::new(strength, StrengthUnit::Ppm)),
            ph: Some(ph),
            temperature: Some(Temperature::new(degrees, TemperatureUnit::Fahrenheit)),
            hardness: None,
            contact: Some(Time::new(contact, TimeUnit::Second)),
            rinsed_after: false,
        };
        let unknown = Circumstances::unknown();
        let ask = |mask| {
            let stack = Stack::new(chosen(mask), &[], DAY);
            let contact = stack.contact_least(&solution, &unknown).map_or(0.0, |time| time.in_unit(TimeUnit::Second));
            (stack.ask_solution(&solution, &unknown).verdict, contact)
        };
        let ((before, contact_before), (after, contact_after)) = (ask(mask), ask(mask | 1 << extra));
        prop_assert!(not_looser(before, after));
        prop_assert!(contact_before <= contact_after || after == Verdict::Fail);
    }

    #[test]
    fn units_there_and_back_change_no_verdict(tenths in -200_i32..2400, which in 0..SUBJECTS.len()) {
        let subject = &SUBJECTS[which];
        let value = f64::from(tenths) / 10.0;
        let others: Vec<Amount> = match subject.dimension {
            Dimension::Temperature => TemperatureUnit::ALL.iter()
                .flat_map(|(unit, _)| there_and_back(Temperature::new(value, *unit)))
                .map(Amount::Temperature).collect(),
            Dimension::Time => there_and_back(Time::new(value.abs(), TimeUnit::Minute)).into_iter().map(Amount::Time).collect(),
            Dimension::Strength => there_and_back(Strength::new(value.abs(), StrengthUnit::Ppm)).into_iter().map(Amount::Strength).collect(),
            Dimension::Length | Dimension::Count | Dimension::Density | Dimension::Share => return Ok(()),
        };
        let stack = Stack::new(shipped(), &[], DAY);
        let verdicts = |found: Amount| -> Vec<Verdict> {
            stack.ask(subject, Some(found), &Circumstances::unknown()).findings.iter().map(|f| f.verdict).collect()
        };
        // Each unit starts a group of its own: the quantity as it was written, then the same through every other.
        let group = if subject.dimension == Dimension::Temperature { others.len() / 2 } else { others.len() };
        for same in others.chunks(group) {
            for other in same {
                prop_assert_eq!(verdicts(*other), verdicts(same[0]), "{} as {}", same[0], other);
            }
        }
    }
}

/// Exactly at every limit that ships, in every unit: passes as written, and passes converted.
#[test]
fn every_shipped_temperature_passes_at_its_own_limit() {
    let mut seen = 0;
    for set in shipped() {
        for rule in &set.rules {
            let ft_rules::Body::Limit { subject, amount: Amount::Temperature(limit) } = &rule.body else {
                continue;
            };
            for (unit, _) in TemperatureUnit::ALL {
                let found = Some(Amount::Temperature(limit.to(*unit)));
                let stack = Stack::new([set], &[], set.in_force.until.unwrap_or(DAY));
                let answer =
                    stack.ask(subject_named(subject.name).unwrap(), found, &Circumstances::unknown());
                assert_eq!(answer.verdict, Verdict::Pass, "{} {} in {unit:?}", set.name, rule.id);
                seen += 1;
            }
        }
    }
    assert!(seen > 40, "{seen}");
}
