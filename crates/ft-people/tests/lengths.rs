//! Step lengths are those of who began and ended the step, are kept only where the kitchen says so, and are erased.

use ft_odds::lengths::{Assumptions, Lengths};
use ft_people::StepLengths;
use ft_record::{Event, Fact};

fn event(order: u64, minute: f64, who: &str, fact: Fact) -> Event {
    Event {
        v: 1,
        id: format!("e{order}"),
        device: "tablet".into(),
        order,
        at_ms: (minute * 60_000.0) as i64,
        zone: "UTC".into(),
        person: Some(who.into()),
        run: Some("night".into()),
        machine: Some("twist".into()),
        fact,
    }
}

fn happened(name: &str) -> Fact {
    Fact::Happened { event: name.into() }
}

fn record() -> Vec<Event> {
    vec![
        event(1, 0.0, "Teo", happened("Scrub@start")),
        event(2, 3.0, "Wren", happened("Rinse@start")),
        event(3, 4.5, "Teo", happened("Scrub@end")),
        event(4, 5.0, "Teo", happened("Rinse@end")),
        event(5, 10.0, "Wren", happened("Scrub@start")),
        event(6, 16.0, "Wren", happened("Scrub@end")),
        event(7, 20.0, "Wren", happened("Soak@start")),
        event(8, 200.0, "Wren", happened("Soak@end")),
    ]
}

fn told(is_kept: bool, events: &[Event]) -> StepLengths {
    let mut lengths = StepLengths::new(is_kept);
    for event in events {
        lengths.apply(event);
    }
    lengths
}

#[test]
fn lengths_are_told_learned_and_erased() {
    let mut events = record();
    let lengths = told(true, &events);
    let found: Vec<(String, f64)> =
        lengths.runs().into_iter().map(|run| (format!("{} {}", run.person, run.step), run.minutes)).collect();
    assert_eq!(found, [("Teo twist/Scrub".to_owned(), 4.5), ("Wren twist/Scrub".to_owned(), 6.0)]);
    let (learned, left_out) = Lengths::learn(&lengths.runs(), Assumptions::default());
    assert!(left_out.is_empty());
    let median = learned.law("twist/Scrub", "Teo", 1, 9.0).median();
    assert!(4.5 < median && median < 6.0, "drawn from Teo's own 4.5 towards the crew: {median}");
    assert_eq!(lengths.export("Teo"), "ended_ms,step,number,minutes\n270000,\"twist/Scrub\",1,4.500\n");
    let mut slipped = events.clone();
    slipped.push(event(9, 300.0, "Wren", Fact::Corrected { of: "e5".into(), because: "a slip".into() }));
    assert_eq!(told(true, &slipped).runs().len(), 1, "a step whose beginning was taken back is not timed");
    events.push(event(9, 300.0, "Marisol", Fact::LengthsErased { who: "Teo".into() }));
    let erased = told(true, &events);
    assert_eq!(erased.runs().len(), 1);
    assert_eq!(erased.export("Teo").lines().count(), 1);
    assert!(told(false, &record()).runs().is_empty(), "the kitchen's setting");
    assert!(ft_people::NOTICE.contains("never") && ft_people::NOTICE_ES.contains("nunca"));
}
