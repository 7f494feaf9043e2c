//! The page of readings with probes that send while it is looked at, a broker that goes and comes, a cable that is cut;
//! and the checks of what is served.

use std::time::Duration;

use ft_browser::{Broker, Session, pictures};
use serde_json::json;

use crate::{Kitchen, crew, screens};

/// A probe of a place and one of a vessel, both invented.
fn mapping(port: u16) -> String {
    format!(
        r#"probes {{
    broker "127.0.0.1:{port}" client="browser-{port}" keep-alive="5 s"
    probe "sink fridge" {{
        label es "nevera del fregadero"
        at "sinks"
        unit "°C"
        topic "test/fridge"
        every "2 s"
        silent-after "6 s"
        limit "< 5 °C" whose="the house rule"
        warn "< 4.5 °C"
        possible "-30..40 °C"
    }}
    probe "shake mix" {{
        label es "mezcla de batidos"
        machine "shake freezer" vessel="reservoir"
        unit "°C"
        topic "test/mix" value="/t" unit="/u"
        every "60 s"
        limit "< 5 °C" whose="the machine file"
    }}
}}
"#
    )
}

const FRIDGE: &str = "#probes [data-probe='sink fridge']";

/// What the page says of the fridge now.
fn until_fridge(tablet: &Session, state: &str, value: &str) {
    tablet.until(
        &format!("{value}, {state}"),
        &format!(
            "const card = document.querySelector({}); return card?.dataset.state === {} && card.querySelector('.value').textContent === {}",
            json!(FRIDGE), json!(state), json!(value)
        ),
    );
}

/// Readings come while somebody looks; an alarm is acknowledged; the broker dies, and comes again; the cable is cut.
#[test]
fn probes_live_on_the_page() {
    let folder = tempfile::tempdir().expect("a folder");
    let Some(mut broker) = Broker::start(folder.path()) else { return };
    let Some(kitchen) = Kitchen::open_with(&[("pier.probes.kdl", &mapping(broker.port()))]) else { return };
    let tablet = &kitchen.marisol;
    tablet.go(&format!("{}/readings", kitchen.site.address()));
    until_fridge(tablet, "gap", "–");
    // Lost without a trace where the page is loaded anew: all that follows comes by the stream.
    tablet.eval("window.isTheSame = true");
    for value in ["3.2", "3.4", "3.3"] {
        broker.send(&[("test/fridge", value, false)]);
        until_fridge(tablet, "good", &format!("{value} °C"));
    }
    broker.send(&[("test/mix", r#"{"t":39.2,"u":"F"}"#, false)]);
    tablet.until(
        "the mix, converted",
        "return document.querySelector(\"#probes [data-probe='shake mix'] .value\").textContent === '4 °C'",
    );
    assert!(tablet.count(&format!("{FRIDGE} .trend svg")) == 1, "its trend is drawn");

    broker.send(&[("test/fridge", "4.7", false)]);
    until_fridge(tablet, "warned", "4.7 °C");
    tablet.until_text("sink fridge is close to its limit < 5 °C.");
    // Exactly the limit is outside: it is strict.
    broker.send(&[("test/fridge", "5", false)]);
    until_fridge(tablet, "bad", "5 °C");
    tablet.until_text("sink fridge was outside its limit < 5 °C.");
    assert!(
        !tablet.text(FRIDGE).contains("close to its limit"),
        "a warning is no news once the limit was met"
    );
    tablet.touch(&format!("{FRIDGE} .alarm .acknowledge"));
    tablet.type_into("#found", "The lid was open; it is shut now.");
    tablet.touch("#seen-save");
    tablet.until_text("Seen by Marisol");
    tablet.until_text("The lid was open; it is shut now.");
    crew::until_told(&kitchen.site, "alarm-acknowledged", 1);
    assert_eq!(tablet.count(&format!("{FRIDGE} .alarm.grave")), 1, "it is silenced by nobody");
    tablet.picture(&pictures().join("probes-alarm-tablet.png"));

    broker.kill();
    tablet.until("the broker is away", "return document.getElementById('broker-away')");
    until_fridge(tablet, "gap", "5 °C");
    tablet.until_text("Nothing has come from sink fridge since");
    assert!(broker.again());
    tablet.until("the broker is here again", "return !document.getElementById('broker-away')");
    broker.send(&[("test/fridge", "3.1", false)]);
    tablet.until(
        "a value again",
        &format!(
            "return document.querySelector({}).textContent === '3.1 °C'",
            json!(format!("{FRIDGE} .value"))
        ),
    );
    assert_eq!(tablet.eval("return window.isTheSame"), json!(true), "it was never loaded anew");
    screens::in_every_size(&kitchen, &[("probes", "/readings")]);

    // Behind the door of the cold room: the last value grows old before Teo's eyes, and nobody calls it fine.
    let phone = &kitchen.teo;
    phone.go(&format!("{}/readings?language=es", kitchen.teos_wire.address()));
    for _ in 0..3 {
        // Three in a row over a minute would end the alarm; it stays here, and so does its sentence.
        broker.send(&[("test/fridge", "3.0", false)]);
        std::thread::sleep(Duration::from_millis(300));
    }
    phone.until_text("3 °C");
    kitchen.teos_wire.cut();
    until_fridge(phone, "gap", "3 °C");
    phone.until_text("sin datos: nadie sabe");
    kitchen.teos_wire.mend();
}

/// A cup is weighed, and the mistake in what somebody worked out is told by its name; a sign that was left out; both are
/// in the record and on the page.
#[test]
fn product_checks() {
    let Some(kitchen) = Kitchen::open() else { return };
    let tablet = &kitchen.marisol;
    let page = format!("{}/readings", kitchen.site.address());
    tablet.go(&page);
    let check = |of: &str, fields: &[(&str, &str)]| {
        // A page that has just come may not listen yet.
        tablet.until(
            "the form",
            &format!(
                "if (!document.querySelector('dialog[open]')) document.querySelector({}).click();
                 return document.querySelector('dialog[open] #product-save')",
                json!(format!("#product .check[data-of='{of}']"))
            ),
        );
        for (field, value) in fields {
            tablet.type_into(&format!("#{field}"), value);
        }
        tablet.touch("#product-save");
    };
    check("Overrun", &[("gross", "105"), ("mix", "110"), ("tare", "30")]);
    tablet.until_text("Give the band first");
    tablet.touch("dialog[open] .quiet");
    check(
        "Overrun",
        &[
            ("band-low", "30"),
            ("band-high", "60"),
            ("gross", "105"),
            ("mix", "110"),
            ("tare", "30"),
            ("reported", "31,8"),
        ],
    );
    tablet.until_text("46.7 %: within.");
    tablet.until_text("divide by the weight of the product");
    tablet.picture(&pictures().join("product-cup-tablet.png"));
    tablet.touch("dialog[open] .quiet");
    check("Temperature of the first shake", &[("value", "3")]);
    tablet.until_text("3 °C: outside.");
    tablet.until_text("the sign was left out");
    tablet.touch("dialog[open] .quiet");
    // The machine file says `< 5 °C`: five is not below five.
    check("Temperature of the mix", &[("value", "5")]);
    tablet.until_text("5 °C: outside.");
    crew::until_told(&kitchen.site, "reading", 3);
    let told: Vec<_> = kitchen
        .site
        .record()
        .into_iter()
        .map(|event| event["fact"].clone())
        .filter(|fact| fact["what"] == "reading")
        .map(|fact| json!([fact["of"], fact["value"], fact["within"], fact["good"]]))
        .collect();
    assert_eq!(
        told,
        [
            json!(["Overrun", 46.7, "30..60 %", true]),
            json!(["Temperature of the first shake", 3.0, "-5..-2 °C", false]),
            json!(["Temperature of the mix", 5.0, "< 5 °C", false]),
        ]
    );
    tablet.go(&format!("{page}?language=es"));
    let overrun = tablet.text("#product [data-of=Overrun]");
    assert!(overrun.contains("46,7 %") && overrun.contains("Marisol"), "{overrun}");
    assert_eq!(
        tablet.eval("return document.querySelector(\"#product .check[data-of='Overrun']\").dataset.low"),
        json!("30"),
        "the site's band is remembered"
    );
    screens::in_every_size(&kitchen, &[("product", "/readings")]);
}
