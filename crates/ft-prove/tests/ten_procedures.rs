//! The ten procedures of `tests/prover`: verdict and shortest lengths as their truth says, certificates that
//! convince the referee, an order that is safe, a repair that makes each flawed one safe.

use std::collections::BTreeMap;
use std::path::PathBuf;

use ft_form::Form;
use ft_prove::{Limits, Repair, Verdict, check, order, repair, with_order};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/prover")
}

fn read(name: &str) -> Form {
    let path = folder().join(format!("{name}.json"));
    let text = std::fs::read_to_string(&path).expect("the procedures are part of the repository");
    ft_form::json::parse(&text).expect("they are in core form")
}

/// By name: the verdict, and by kind the shortest length.
fn truth() -> BTreeMap<String, (String, BTreeMap<String, usize>)> {
    let text = std::fs::read_to_string(folder().join("truth.json")).expect("the truth is there");
    let truth: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    let of = |value: &serde_json::Value| {
        let shortest = value["shortest"].as_object().expect("lengths by kind");
        let shortest =
            shortest.iter().map(|(kind, length)| (kind.clone(), length.as_u64().expect("a number") as usize));
        (value["verdict"].as_str().expect("a verdict").to_string(), shortest.collect())
    };
    truth.as_object().expect("by name").iter().map(|(name, value)| (name.clone(), of(value))).collect()
}

#[test]
fn verdicts_and_lengths_are_true() {
    let truth = truth();
    assert_eq!(truth.len(), 10);
    for (name, (verdict, shortest)) in truth {
        let form = read(&name);
        let found = check(&form, &Limits::default());
        assert_eq!(found.text(), verdict, "{name}");
        let told: BTreeMap<String, usize> =
            found.flaws().iter().map(|flaw| (flaw.kind.text(&form), flaw.story.len())).collect();
        assert_eq!(told, shortest, "{name}");
        if let Verdict::Proved(proof) = found {
            let verified = ft_verify::verify(&form, &proof.certificate);
            assert!(verified.is_ok(), "{name}: {verified:?}");
        }
    }
}

#[test]
fn safe_ones_have_orders_and_flawed_ones_have_repairs() {
    for (name, (verdict, _)) in truth() {
        let form = read(&name);
        let limits = Limits::default();
        if verdict == "proved" {
            let order = order(&form, &limits).expect("a safe card has an order");
            assert!(check(&with_order(&form, &order), &limits).is_proved(), "{name}");
        } else {
            let Repair::Add(added) = repair(&form, &limits) else { panic!("{name} can be repaired") };
            let mut repaired = form.clone();
            for added in &added {
                repaired.events[added.after].pre.push(added.before);
            }
            assert!(check(&repaired, &limits).is_proved(), "{name}");
        }
    }
}
