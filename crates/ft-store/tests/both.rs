//! What both databases promise, in the same words.
#![allow(clippy::unwrap_used)]

mod common;

use std::path::Path;

use common::{Cluster, event, note};
use ft_record::{Break, Fact, GENESIS};
use ft_store::{Store, Trouble};

type Case = (&'static str, fn(&str, &Path));

/// Each gets an empty place and an empty folder.
const CASES: &[Case] = &[
    ("what was appended is read back", appended_is_read_back),
    ("sending twice stores once", sending_twice_stores_once),
    ("a record is there when it is opened again", reopened),
    ("many writers make one chain", many_writers),
    ("two programs make one chain", two_programs),
    ("the shelf", shelf),
    ("a change is found and named", change_is_named),
    ("seals", seals),
    ("backup and restore", backup_and_restore),
    ("a broken backup is not restored", broken_backup),
    ("a newer record is left alone", newer_record),
    ("numbers that are none are refused", not_a_number),
];

#[test]
fn sqlite_keeps_the_promises() {
    for (name, case) in CASES {
        println!("{name}");
        let folder = tempfile::tempdir().unwrap();
        case(&folder.path().join("record.db").display().to_string(), folder.path());
    }
}

#[test]
fn postgresql_keeps_the_same_promises() {
    let Some(cluster) = Cluster::start() else { return };
    for (name, case) in CASES {
        println!("{name}");
        let folder = tempfile::tempdir().unwrap();
        case(&cluster.database(), folder.path());
    }
}

fn appended_is_read_back(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    assert_eq!(store.head().unwrap().seq, 0);
    let open =
        Fact::RunOpened { procedure: "closing".into(), machines: vec![], people: vec![], out_by_ms: None };
    let mut opened = event("a", 1, open);
    opened.run = None;
    let mut inside = note("a", 2);
    inside.run = Some(opened.id.clone());
    let events = vec![opened.clone(), inside.clone(), note("a", 3)];
    let accepted = store.append(events.clone(), 17).unwrap();
    assert_eq!(
        accepted.iter().map(|one| (one.seq, one.is_new)).collect::<Vec<_>>(),
        [(1, true), (2, true), (3, true)]
    );
    let stored = store.since(0, 10).unwrap();
    assert_eq!(stored.iter().map(|one| one.event.clone()).collect::<Vec<_>>(), events);
    assert_eq!(stored[0].prev, GENESIS);
    assert_eq!(stored[2].prev, stored[1].hash);
    assert!(
        stored.iter().all(|one| one.received_ms == 17 && ft_record::hash(&one.prev, &one.text) == one.hash)
    );
    assert_eq!(store.since(1, 1).unwrap(), stored[1..2]);
    assert_eq!(store.run(&opened.id).unwrap(), stored[..2], "who opens a run belongs to it");
    let head = store.head().unwrap();
    assert_eq!((head.seq, head.hash), (3, stored[2].hash));
}

fn sending_twice_stores_once(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    store.append(vec![note("a", 1), note("a", 2)], 1).unwrap();
    let again = store.append(vec![note("a", 2), note("a", 3), note("a", 3)], 2).unwrap();
    assert_eq!(
        again.iter().map(|one| (one.seq, one.is_new, one.is_same)).collect::<Vec<_>>(),
        [(2, false, true), (3, true, true), (3, false, true)]
    );
    let mut forged = note("a", 1);
    forged.person = Some("Mallory".to_owned());
    let answer = store.append(vec![forged], 3).unwrap();
    assert_eq!((answer[0].seq, answer[0].is_new, answer[0].is_same), (1, false, false));
    assert_eq!(store.since(0, 10).unwrap()[0].event, note("a", 1), "the first one stays");
    assert_eq!(store.head().unwrap().seq, 3);
}

fn reopened(place: &str, _: &Path) {
    assert_eq!(Store::open_existing(place).err().unwrap().trouble, Trouble::NoSuch);
    let store = Store::open(place).unwrap();
    store.append(vec![note("a", 1)], 1).unwrap();
    let head = store.head().unwrap();
    drop(store);
    let store = Store::open_existing(place).unwrap();
    assert_eq!(store.head().unwrap(), head);
    store.append(vec![note("a", 2)], 2).unwrap();
    assert_eq!(store.since(1, 9).unwrap()[0].prev, head.hash);
}

fn many_writers(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    std::thread::scope(|scope| {
        for device in ["a", "b", "c", "d", "e", "f", "g", "h"] {
            let store = store.clone();
            scope.spawn(move || {
                for order in 1..=60 {
                    let accepted = store.append(vec![note(device, order)], 1).unwrap();
                    assert!(accepted[0].is_new);
                }
            });
        }
    });
    let big: Vec<_> = (1..=3000).map(|order| note("z", order)).collect();
    store.append(big.clone(), 1).unwrap();
    let verified = store.verify(None).unwrap();
    assert_eq!((verified.events, verified.broken), (480 + 3000, None));
    let tail: Vec<_> = store.since(480, 5000).unwrap().into_iter().map(|one| one.event).collect();
    assert_eq!(tail, big, "in the order in which they came");
}

fn two_programs(place: &str, _: &Path) {
    let (one, two) = (Store::open(place).unwrap(), Store::open(place).unwrap());
    std::thread::scope(|scope| {
        for (store, device) in [(&one, "a"), (&two, "b")] {
            scope.spawn(move || {
                for order in 1..=40 {
                    store.append(vec![note(device, order)], 1).unwrap();
                }
            });
        }
    });
    let verified = one.verify(None).unwrap();
    assert_eq!((verified.events, verified.broken), (80, None));
    assert_eq!(one.head().unwrap(), two.head().unwrap());
}

fn shelf(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    assert_eq!(store.get("pins", "Ana").unwrap(), None);
    store.put("pins", "Zoë", "1").unwrap();
    store.put("pins", "Ana", "2").unwrap();
    store.put("pins", "ana", "it's \"3\"").unwrap();
    store.put("pins", "Ana", "4").unwrap();
    store.put("sessions", "Ana", "5").unwrap();
    let pair = |key: &str, value: &str| (key.to_owned(), value.to_owned());
    let all = [pair("Ana", "4"), pair("Zoë", "1"), pair("ana", "it's \"3\"")];
    assert_eq!(store.list("pins").unwrap(), all);
    store.remove("pins", "Zoë").unwrap();
    store.remove("pins", "nobody").unwrap();
    assert_eq!(store.list("pins").unwrap(), [all[0].clone(), all[2].clone()]);
    // A NUL from outside fails nothing: there is no such key.
    assert_eq!(store.get("pins", "Ana\0").unwrap(), None);
    store.remove("pins", "Ana\0").unwrap();
    assert_eq!(store.put("pins", "Ana\0", "6").unwrap_err().trouble, Trouble::NotWritable);
    assert_eq!(store.get("pins", "Ana").unwrap().as_deref(), Some("4"));
}

/// Changes the tables behind the program's back.
fn behind(place: &str, sql: &str) {
    if place.starts_with("postgres") {
        postgres::Client::connect(place, postgres::NoTls).unwrap().batch_execute(sql).unwrap();
    } else {
        rusqlite::Connection::open(place).unwrap().execute_batch(sql).unwrap();
    }
}

fn change_is_named(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    store.append((1..=20).map(|order| note("a", order)).collect(), 1).unwrap();
    let broken = || {
        let broken = store.verify(None).unwrap().broken.unwrap();
        (broken.seq, broken.how)
    };
    behind(place, "UPDATE events SET text = replace(text, 'Ana', 'Eva') WHERE seq = 7");
    assert_eq!(broken(), (7, Break::Hash));
    behind(place, "UPDATE events SET text = replace(text, 'Eva', 'Ana') WHERE seq = 7");
    assert_eq!(store.verify(None).unwrap().broken, None);
    behind(place, "UPDATE events SET hash = (SELECT hash FROM events WHERE seq = 5) WHERE seq = 9");
    assert_eq!(broken(), (9, Break::Hash));
    behind(place, "DELETE FROM events WHERE seq = 4");
    assert_eq!(broken(), (4, Break::Gap(5)));
}

fn seals(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    store.append((1..=5).map(|order| note("a", order)).collect(), 1).unwrap();
    let first = store.seal(100).unwrap();
    assert_eq!((first.seq, &first.key), (5, &store.public_key().unwrap()));
    store.append(vec![note("a", 6)], 1).unwrap();
    let second = store.seal(200).unwrap();
    let verified = store.verify(Some(&first.key)).unwrap();
    assert_eq!((verified.broken, verified.seals), (None, vec![first.clone(), second]));
    let other = store.verify(Some(&"ab".repeat(32))).unwrap().broken.unwrap();
    assert!(matches!(other.how, Break::Seal(_)) && other.seq == 5, "{other}");
    behind(place, "DELETE FROM events WHERE seq = 6");
    let cut = store.verify(None).unwrap().broken.unwrap();
    assert_eq!((cut.seq, &cut.how), (6, &Break::Cut(6)), "the end was cut off under a seal");
}

fn backup_and_restore(place: &str, folder: &Path) {
    let store = Store::open(place).unwrap();
    store.append((1..=2500).map(|order| note("a", order)).collect(), 1).unwrap();
    store.put("settings", "language", "es").unwrap();
    let seal = store.seal(9).unwrap();
    let file = folder.join("backup.db");
    // While others write.
    std::thread::scope(|scope| {
        let writing = store.clone();
        scope.spawn(move || {
            for order in 1..=200 {
                writing.append(vec![note("b", order)], 1).unwrap();
            }
        });
        let head = store.backup(&file).unwrap();
        assert!(head.seq >= 2500);
    });
    assert_eq!(store.backup(&file).unwrap_err().trouble, Trouble::NotEmpty);
    assert_eq!(Store::restore(place, &file).err().unwrap().trouble, Trouble::NotEmpty);
    assert_eq!(store.verify(None).unwrap().events, 2700, "the record was not touched");
    let again = folder.join("again.db").display().to_string();
    let restored = Store::restore(&again, &file).unwrap();
    let verified = restored.verify(Some(&seal.key)).unwrap();
    assert_eq!((verified.broken, verified.seals), (None, vec![seal]));
    let (old, new) = (store.head().unwrap(), restored.head().unwrap());
    assert_ne!(old.epoch, new.epoch);
    assert_eq!(restored.since(0, 5000).unwrap(), store.since(0, new.seq as usize).unwrap());
    assert_eq!(restored.get("settings", "language").unwrap().as_deref(), Some("es"));
    assert_eq!(restored.public_key().unwrap(), store.public_key().unwrap());
    restored.append(vec![note("c", 1)], 2).unwrap();
    assert_eq!(restored.verify(None).unwrap().broken, None);
}

fn broken_backup(place: &str, folder: &Path) {
    let source = folder.join("source.db").display().to_string();
    let store = Store::open(&source).unwrap();
    store.append((1..=50).map(|order| note("a", order)).collect(), 1).unwrap();
    let file = folder.join("backup.db");
    store.backup(&file).unwrap();
    behind(
        &file.display().to_string(),
        "UPDATE events SET text = replace(text, 'Ana', 'Eva') WHERE seq = 31",
    );
    let error = Store::restore(place, &file).err().unwrap();
    assert_eq!(error.trouble, Trouble::NotARecord);
    assert!(error.detail.contains("event 31"), "{error}");
    if place.starts_with("postgres") {
        assert_eq!(Store::open_existing(place).unwrap().head().unwrap().seq, 0);
    } else {
        assert!(!Path::new(place).exists(), "nothing is left of it");
    }
    std::fs::write(&file, "not a database, but long enough to be taken for a page of one").unwrap();
    assert_eq!(Store::restore(place, &file).err().unwrap().trouble, Trouble::NotARecord);
    let nowhere = folder.join("nowhere.db");
    assert_eq!(Store::restore(place, &nowhere).err().unwrap().trouble, Trouble::NoSuch);
}

fn newer_record(place: &str, _: &Path) {
    drop(Store::open(place).unwrap());
    behind(place, "UPDATE meta SET value = '99' WHERE name = 'tables'");
    assert_eq!(Store::open(place).err().unwrap().trouble, Trouble::Newer);
    assert_eq!(Store::open_existing(place).err().unwrap().trouble, Trouble::Newer);
}

fn not_a_number(place: &str, _: &Path) {
    let store = Store::open(place).unwrap();
    let served = |order, litres| event("a", order, Fact::Served { from: "shake/barrel".into(), litres });
    let error = store.append(vec![served(1, 0.1 + 0.2), served(2, f64::NAN)], 1).unwrap_err();
    assert_eq!(error.trouble, Trouble::NotWritable);
    assert_eq!(store.head().unwrap().seq, 0, "all or none");
    let odd = [0.1 + 0.2, f64::MIN_POSITIVE, 1e300, -0.0, 2.0f64.powi(-1074)];
    store.append(odd.iter().zip(1..).map(|(&litres, order)| served(order, litres)).collect(), 1).unwrap();
    for (stored, litres) in store.since(0, 9).unwrap().iter().zip(odd) {
        let Fact::Served { litres: read, .. } = stored.event.fact else { panic!() };
        assert_eq!(read.to_bits(), litres.to_bits());
    }
}
