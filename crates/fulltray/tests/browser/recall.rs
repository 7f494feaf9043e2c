//! A lot is called back after three nights of blending, and the page says in which hours and glasses it was.

use ft_browser::{Driver, Site, Size};
use serde_json::{Value, json};

use crate::tells::{self, DAY_MS, HOUR_MS, Tablet};

const VESSEL: &str = "urn/urn";

/// Three nights, worked out by hand; hours count from the first midnight.
///
/// First day: 10 L of A are all that is in the urn. 4 L are served by 12:00 and 2 L by 14:00; the 4 L that are left go
/// into can R1. Second day: R1's 4 L and 6 L of B make 10 L, 40 % of it A. 5 L are served by 19:00: 2 L of A. The other
/// 5 L, with 2 L of A, go into can R2. Third day: R2's 5 L and 5 L of C make 10 L, of which 2 L are A: 20 %. 4 L are
/// served by 14:00: 0.8 L of A. The 6 L that are left, with 1.2 L of A, are thrown away.
///
/// So of A: 6 + 2 + 0.8 = 8.8 L were served, in 6 + 5 + 4 = 15 L, and 1.2 L thrown away.
fn nights(first_ms: i64) -> Tablet {
    let mut tablet = Tablet::of("Marisol");
    let received = |lot: &str, litres: f64, origin: &str| json!({ "what": "lot-received", "lot": lot, "product": "sorbet mix", "litres": litres, "origin": origin });
    let blended = |from: &str, into: &str, litres: f64| json!({ "what": "blended", "from": from, "into": into, "litres": litres });
    let served = |litres: f64| json!({ "what": "served", "from": VESSEL, "litres": litres });
    for (hours, fact) in [
        (6, received("A", 10.0, "delivered")),
        (8, blended("A", VESSEL, 10.0)),
        (12, served(4.0)),
        (14, served(2.0)),
        (21, received("R1", 4.0, "rerun")),
        (21, blended(VESSEL, "R1", 4.0)),
        (30, received("B", 6.0, "delivered")),
        (32, blended("R1", VESSEL, 4.0)),
        (32, blended("B", VESSEL, 6.0)),
        (43, served(5.0)),
        (44, received("R2", 5.0, "rerun")),
        (44, blended(VESSEL, "R2", 5.0)),
        (54, received("C", 5.0, "delivered")),
        (56, blended("R2", VESSEL, 5.0)),
        (56, blended("C", VESSEL, 5.0)),
        (62, served(4.0)),
        (63, json!({ "what": "discarded", "lot": VESSEL, "because": "end of the week" })),
    ] {
        tablet.at(first_ms + hours * HOUR_MS, None, None, fact);
    }
    tablet
}

#[test]
fn a_recall_after_three_nights_shows_its_hours_and_shares() {
    let Some(driver) = Driver::start() else { return };
    let site = Site::start_with(&crate::program(), &tells::row(&["urn"]), &[("urn.machine.kdl", tells::URN)]);
    let tablet = driver.session("marisol", Size::TABLET);
    site.set_up(&tablet, "Marisol");
    let first_ms = (tells::now_ms() / DAY_MS - 4) * DAY_MS;
    nights(first_ms).send(&site.lead());

    tablet.go(&format!("{}/lots/lot/A", site.address()));
    assert_eq!(tablet.count("#recall"), 0, "nobody has called it back");
    tablet.touch("details.acts summary");
    tablet.type_into("form[data-what=recalled] [name=because]", "the maker called");
    tablet.touch("form[data-what=recalled] button");
    tablet.until_text("called back: the maker called");
    tablet.until_text("Nothing of it is left here.");
    tablet.picture(&ft_browser::pictures().join("recall-tablet.png"));

    let day = |after: i64| {
        let at = jiff::Timestamp::from_millisecond(first_ms + after * DAY_MS).expect("a day of these years");
        jiff::tz::TimeZone::UTC.to_datetime(at).date().to_string()
    };
    let (one, two, three) = (day(0), day(1), day(2));
    let rows = tablet.eval(
        "return [...document.querySelectorAll('#servings tbody tr')].map(row => [...row.cells].map(cell => cell.innerText.trim()))",
    );
    let urn = "urn: urn";
    assert_eq!(
        rows,
        json!([
            [one, urn, format!("until {one} 12:00"), "4.00 L", "4.00 L", "100 %"],
            [one, urn, format!("{one} 12:00 – 14:00"), "2.00 L", "2.00 L", "100 %"],
            [two, urn, format!("{one} 14:00 – {two} 19:00"), "5.00 L", "2.00 L", "40 %"],
            [three, urn, format!("{two} 19:00 – {three} 14:00"), "4.00 L", "0.80 L", "20 %"],
        ])
    );
    let sums = tablet.eval(
        "return Object.fromEntries([...document.querySelectorAll('dl.sums div')].map(one => [one.children[0].innerText, one.children[1].innerText]))",
    );
    assert_eq!(
        sums,
        json!({ "came in": "10.00 L", "of it served": "8.80 L", "of it thrown away": "1.20 L",
            "of it still here": "0.00 L", "served with some of it in": "15.00 L" })
    );

    // A glass of the third noon: 20 % of it was the lot that is called back, and the page of the glass says so.
    tablet.go(&format!("{}/lots", site.address()));
    tablet.until("the page of lots", "return document.querySelector('form[action=\"/lots/glass\"]')");
    tablet.go(&format!("{}/lots/glass?place=urn/urn&at={three}T12:00", site.address()));
    let shares = tablet.eval(
        "return [...document.querySelectorAll('.shares li')].map(li => [li.querySelector('strong').innerText, li.querySelector('a').innerText, li.innerText.includes('called back')])",
    );
    assert_eq!(shares, json!([["50 %", "C", false], ["30 %", "B", false], ["20 %", "A", true]]));
    let facts = site.lead().get("/api/lots/A");
    assert_eq!(facts["recalled"], json!("the maker called"), "and the interface says the same: {facts}");
    let none: Vec<Value> = Vec::new();
    assert_eq!(facts["hold_now"], json!(none));
}
