//! A record that is longer than a page: its leaves, and the days of it.

use serde_json::{Value, json};

use crate::site::{Answer, Client};
use crate::{open, with_crew};

const DAY_MIN: f64 = 24.0 * 60.0;

/// The numbers of the rows of a page of the record, from above.
fn rows(page: &Answer) -> Vec<u64> {
    assert_eq!(page.status, 200, "{}", page.text);
    let cells = page.text.split("<td>").filter_map(|cell| cell.split_once("</td>"));
    cells.filter_map(|(cell, _)| cell.parse().ok()).collect()
}

/// Where a link of a page goes to.
fn link(page: &Answer, rel: &str) -> Option<String> {
    let after = page.text.split_once(&format!("rel=\"{rel}\" href=\""))?.1;
    Some(after.split_once('"')?.0.replace("&amp;", "&"))
}

/// From a page on, over the links to what is older.
fn older(client: &mut Client, path: &str) -> Vec<Vec<u64>> {
    let (mut path, mut leaves) = (path.to_owned(), Vec::new());
    loop {
        let page = client.get(&path);
        leaves.push(rows(&page));
        let Some(next) = link(&page, "next") else { return leaves };
        path = next;
    }
}

#[test]
fn a_long_record_is_read_leaf_by_leaf_and_day_by_day() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    // 450 notes, of which each third was told two days ago.
    let note = |number: u32| json!({ "what": "note", "text": format!("note {number}") });
    for some in (0..450_u32).collect::<Vec<_>>().chunks(150) {
        let ago = |number: u32| if number.is_multiple_of(3) { 2.0 * DAY_MIN } else { 0.0 };
        let events: Vec<Value> =
            some.iter().map(|&number| lead.told("Marisol", ago(number), &note(number))).collect();
        let answer = lead.post("/api/events", &json!({ "events": events }));
        assert_eq!(answer.json["refused"], json!([]), "{}", answer.text);
    }
    let leaves = older(&mut lead, "/record");
    let last = leaves[0][0];
    let lengths: Vec<usize> = leaves.iter().map(Vec::len).collect();
    assert_eq!(lengths[..2], [200, 200], "two full leaves");
    let all: Vec<u64> = leaves.concat();
    assert_eq!(all, (1..=last).rev().collect::<Vec<_>>(), "each event once, the newest first");
    // And back again.
    let oldest = lead.get(&format!("/record?before={}", leaves[1][199]));
    let newer = link(&oldest, "prev").expect("there is something newer");
    assert_eq!(rows(&lead.get(&newer)), leaves[1]);

    // Days as the page writes them, where the server is.
    let page = lead.get("/record");
    let days: Vec<&str> = page
        .text
        .split("<td>")
        .filter_map(|cell| cell.split_once("</td>")?.0.split_once(' '))
        .map(|of| of.0)
        .collect();
    let day = days.iter().filter(|day| day.len() == 10 && day.starts_with("20")).min().expect("an old day");
    let of_day = older(&mut lead, &format!("/record?day={day}")).concat();
    assert_eq!(of_day.len(), 150, "each third");
    assert!(of_day.windows(2).all(|pair| pair[0] > pair[1]));
    let empty = lead.get("/record?day=2001-01-01");
    assert!(rows(&empty).is_empty() && empty.text.contains("Nothing has been recorded here."));
    assert_eq!(lead.get("/record?before=abc").status, 400);

    // A night alone, with its packet.
    let run = open(&mut lead);
    let night = lead.get(&format!("/record?run={run}"));
    assert!(night.text.contains(&format!("/record/packet/{run}")) && rows(&night).contains(&(last + 1)));
    let path =
        lead.post("/api/inspect", &json!({ "days": 1 })).json["path"].as_str().expect("a path").to_owned();
    let mut inspector = Client::new(&site.base);
    assert!(inspector.get(&path).text.contains("/packet/"));
    assert!(!inspector.get(&format!("{path}?day=2001-01-01")).text.contains("/packet/"));
}
