//! Events as a tablet would send them, at times that a test chooses; and whole runs of them.

use std::collections::BTreeMap;
use std::time::{SystemTime, UNIX_EPOCH};

use ft_browser::{Caller, Site};
use ft_form::walk::State;
use ft_form::{EventId, Form};
use serde_json::{Value, json};

pub const MINUTE_MS: i64 = 60_000;
pub const HOUR_MS: i64 = 60 * MINUTE_MS;
pub const DAY_MS: i64 = 24 * HOUR_MS;

/// A machine that is small and has a bit of everything that a release looks at.
pub const URN: &str = include_str!("urn.machine.kdl");

/// A kitchen with these urns in a row.
pub fn row(urns: &[&str]) -> String {
    let machines: Vec<String> = urns
        .iter()
        .map(|urn| {
            format!(
                "    machine \"{urn}\" file=\"urn.machine.kdl\" at=\"window\" {{ label es \"{urn}\"; }}\n"
            )
        })
        .collect();
    let machines = machines.concat();
    format!(
        r#"fulltray 1
kitchen "row" {{
    title "A row of urns (invented)"
    title es "Una fila de urnas (inventada)"
    languages "en" "es"
    place "window" {{ label es "ventanilla"; }}
    place "sinks" {{ label es "fregaderos"; }}
    walk "window" "sinks" "14 s"
    skill "filling" {{ label es "llenado"; }}
    person "Marisol" from="18:00" language="en" {{ can "filling"; }}
    person "Teo" from="18:00" language="en" {{ can "filling"; }}
    closing from="18:00" out-by="23:59" on="wednesday"
{machines}    kit "bucket" count=4 {{ label es "cubo"; }}
    sink "wash sink" count=1 at="sinks" {{ label es "fregadero de lavado"; }}
    sink "rinse sink" count=1 at="sinks" {{ label es "fregadero de enjuague"; }}
    sink "sanitiser sink" count=1 at="sinks" {{ label es "fregadero de desinfección"; }}
}}
"#
    )
}

/// Milliseconds since 1970.
pub fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_millis() as i64
}

/// A tablet of somebody: events in its order, to be sent together.
pub struct Tablet {
    device: String,
    person: String,
    events: Vec<Value>,
}

impl Tablet {
    /// A new one.
    pub fn of(person: &str) -> Self {
        let device = format!("tablet-{}", uuid::Uuid::now_v7());
        Self { device, person: person.to_owned(), events: Vec::new() }
    }

    /// Something that happened at a moment; gives the event's id.
    pub fn at(&mut self, at_ms: i64, run: Option<&str>, machine: Option<&str>, fact: Value) -> String {
        let id = uuid::Uuid::now_v7().to_string();
        let mut event = json!({
            "v": ft_record::VERSION, "id": id, "device": self.device, "order": self.events.len() + 1,
            "at_ms": at_ms, "zone": "Etc/UTC", "person": self.person,
        });
        event["fact"] = fact;
        for (key, value) in [("run", run), ("machine", machine)] {
            if let Some(value) = value {
                event[key] = json!(value);
            }
        }
        self.events.push(event);
        id
    }

    /// Sends all of it.
    pub fn send(self, caller: &Caller) {
        caller.tell(&self.events);
    }
}

/// The forms of the run that is open, by machine.
pub fn forms(caller: &Caller) -> BTreeMap<String, Form> {
    let run = caller.get("/api/run");
    let machines = run["machines"].as_array().expect("machines");
    let form = |machine: &Value| {
        let name = machine["machine"].as_str().expect("a name").to_owned();
        let mark = machine["form"].as_str().expect("a mark");
        (name, ft_form::json::parse(&caller.text(&format!("/api/form/{mark}"))).expect("a form"))
    };
    machines.iter().map(form).collect()
}

/// Every event in the first order that may be.
pub fn walk(form: &Form) -> Vec<EventId> {
    let (mut state, mut order) = (State::start(form), Vec::new());
    while let Some(&event) = state.open(form).first() {
        order.push(event);
        state = state.after(form, event);
    }
    assert!(state.is_finished(), "{} can be carried out", form.name);
    order
}

/// Opens a run of all machines; gives its id.
pub fn open(caller: &Caller, procedure: &str) -> String {
    let opened = caller.post("/api/run/open", &json!({ "procedure": procedure }));
    opened["run"].as_str().expect("a name").to_owned()
}

/// Tells what a site is known by: its lead at a browser is set up, and Teo who closes, opens and teaches.
pub fn with_teo(site: &Site) -> Caller {
    site.add("Teo", &["closer", "opener", "trainer"]);
    site.caller("Teo")
}
