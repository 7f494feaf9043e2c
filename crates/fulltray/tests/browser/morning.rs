//! The morning after a night in the browser: opened, asked whether it may serve, put right, signed.

use ft_browser::{Session, pictures};
use serde_json::{Value, json};

use crate::{Kitchen, crew};

/// Types what the steps of this run ask for, in the middle of each limit, on the number pad.
/// Gives how many of the limits are strict.
pub fn measure(kitchen: &Kitchen) -> usize {
    let tablet = &kitchen.marisol;
    tablet.go(&format!("{}/readings", kitchen.site.address()));
    let wanted = tablet.until(
        "what is to be measured",
        "const all = [...document.querySelectorAll('#wanted button')].map(one => [Number(one.dataset.low), Number(one.dataset.high), one.dataset.strict !== undefined]); return all.length && all",
    );
    let have = kitchen.site.record().iter().filter(|event| event["fact"]["what"] == "reading").count();
    let mut strict = 0;
    for (index, limits) in wanted.as_array().into_iter().flatten().enumerate() {
        // A limit that is open on one side is missed by a degree and a half.
        let value = match (limits[0].as_f64(), limits[1].as_f64()) {
            (Some(low), Some(high)) => f64::midpoint(low, high),
            (None, Some(high)) => high - 1.5,
            (Some(low), None) => low + 1.5,
            (None, None) => 1.0,
        };
        tablet.touch(&format!("#wanted li:nth-child({}) button", index + 1));
        tablet.until("the pad", "return document.querySelector('dialog[open] #typed')");
        if let (true, Some(end)) = (limits[2] == json!(true), limits[0].as_f64().or(limits[1].as_f64())) {
            // `< 5 °C` does not let 5 pass.
            tablet.press(&end.to_string());
            assert_eq!(
                tablet.eval("return document.getElementById('pad-verdict').dataset.good"),
                json!("false")
            );
            for _ in end.to_string().chars() {
                tablet.touch("#rub");
            }
            strict += 1;
        }
        tablet.press(&value.to_string());
        tablet.touch("#pad-save");
        tablet.until("no pad", "return !document.querySelector('dialog[open]')");
    }
    // The mark may still say of the one before that all is sent.
    crew::until_told(&kitchen.site, "reading", have + wanted.as_array().map_or(0, Vec::len));
    tablet.go(&format!("{}/readings", kitchen.site.address()));
    assert_eq!(tablet.count("#taken .badge.bad"), 0, "{}", tablet.text("#taken"));
    strict
}

/// Opens the machine, by the button that stands where the night was signed; both are at their steps then.
pub fn begin(kitchen: &Kitchen) {
    let tablet = &kitchen.marisol;
    tablet.go(&kitchen.site.address());
    assert_eq!(tablet.text("#start"), "Start the opening");
    tablet.touch("#start");
    kitchen.both_at_their_steps();
}

/// The reasons that stand, by key.
fn standing(tablet: &Session) -> Vec<String> {
    let keys = tablet.eval("return [...document.querySelectorAll('ol.reasons > li:not(.set-aside)')].map(li => li.dataset.reason)");
    keys.as_array().into_iter().flatten().filter_map(|key| key.as_str().map(str::to_owned)).collect()
}

fn answer(tablet: &Session) -> Value {
    tablet.until("an answer", "return document.querySelector('section.release')?.dataset.answer")
}

/// From the last step of the morning to a yes: first no, each reason is dealt with where the page says, then it is signed.
pub fn release(kitchen: &Kitchen) {
    let tablet = &kitchen.marisol;
    tablet.go(&kitchen.site.address());
    tablet.until_text("Everything is open: may it serve?");
    tablet.touch("a.act[href='/release']");
    assert_eq!(answer(tablet), json!("no"));
    let reasons = standing(tablet);
    tablet.picture(&pictures().join("release-no-tablet.png"));
    let kinds: std::collections::BTreeSet<&str> =
        reasons.iter().filter_map(|key| key.split('/').next()).collect();
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        ["lots-untold", "not-allowed", "not-signed", "reading-missing"],
        "{reasons:?}"
    );
    assert_eq!(tablet.count("form[data-post='/api/release']"), 0, "nobody signs over what stands");

    assert!(measure(kitchen) > 0, "the mix has a strict limit");
    tablet.go(&format!("{}/release", kitchen.site.address()));
    // Marisol put product away, which she was never confirmed for: as the lead she may take that on herself, visibly.
    let not_allowed = standing(tablet).iter().filter(|key| key.starts_with("not-allowed/")).count();
    for _ in 0..not_allowed {
        tablet
            .touch("ol.reasons > li:not(.set-aside)[data-reason^=not-allowed] details:last-of-type summary");
        let form = "ol.reasons > li:not(.set-aside)[data-reason^=not-allowed] form";
        tablet.type_into(&format!("{form} textarea"), "I have done this for years.");
        let left = standing(tablet).len();
        tablet.touch(&format!("{form} button"));
        tablet.until(
            "one reason less",
            &format!("return document.querySelectorAll('ol.reasons > li:not(.set-aside)').length < {left}"),
        );
    }
    // The server's clock knows nothing of the minutes that this test let pass for the tablets: what is filled in now is
    // told by a tablet whose clock is right.
    tablet.eval("localStorage.setItem('test-ahead', 0)");
    fill(kitchen);
    tablet.go(&format!("{}/release", kitchen.site.address()));
    let left = standing(tablet);
    assert_eq!(left, ["not-signed/opening"], "only the signature is lacking");
    tablet.touch("form[data-post='/api/release'] button");
    tablet.until("a yes", "return document.querySelector('section.release')?.dataset.answer === 'yes'");
    tablet.until_text("Last released by Marisol");
    tablet.picture(&pictures().join("release-yes-tablet.png"));
    let asked = kitchen.site.lead().get("/api/release");
    assert_eq!(
        asked["machines"][0]["may_serve"],
        json!(true),
        "a display that asks is told the same: {asked}"
    );
    let told = kitchen.site.record();
    assert_eq!(told.iter().filter(|event| event["fact"]["what"] == "released").count(), 1);
    tablet.go(&kitchen.site.address());
    tablet.until_text("The opening is signed");
    assert_eq!(tablet.text("#start"), "Start the closing");
}

/// Receives a lot and tells that it was filled in, by the forms of the page of lots.
fn fill(kitchen: &Kitchen) {
    let tablet = &kitchen.marisol;
    let page = format!("{}/lots", kitchen.site.address());
    for (what, fields) in [
        ("lot-received", [("lot", "M-7"), ("product", "mix"), ("litres", "20")]),
        ("blended", [("from", "M-7"), ("into", "shake freezer/reservoir"), ("litres", "16")]),
    ] {
        tablet.go(&page);
        let form = format!("section.tells details:has(form[data-what={what}])");
        tablet.touch(&format!("{form} summary"));
        for (name, value) in fields {
            tablet.type_into(&format!("{form} input[name={name}]"), value);
        }
        tablet.touch(&format!("{form} button"));
        crew::until_told(&kitchen.site, what, 1);
    }
    tablet.go(&page);
    tablet.until_text("M-7");
}
