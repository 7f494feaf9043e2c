//! Somebody who speaks to the program's interface over HTTP, beside the browsers: to bring about what a test is to see.

use std::time::Duration;

use serde_json::{Value, json};

/// Somebody signed in, without a browser.
#[derive(Debug, Clone)]
pub struct Caller {
    address: String,
    cookie: String,
    /// Their name.
    pub name: String,
}

/// An answer that was not what was asked for: its status, and what it says.
pub type Refusal = (u16, String);

impl Caller {
    /// Signs in.
    pub fn sign_in(address: &str, name: &str, pin: &str) -> Self {
        let response = agent()
            .post(format!("{address}/api/sign-in"))
            .header("x-fulltray", "1")
            .send_json(json!({ "name": name, "pin": pin }))
            .unwrap_or_else(|error| panic!("{name} cannot sign in: {error}"));
        let cookies: Vec<&str> = response
            .headers()
            .get_all("set-cookie")
            .iter()
            .filter_map(|cookie| cookie.to_str().ok()?.split(';').next())
            .collect();
        Self { address: address.to_owned(), cookie: cookies.join("; "), name: name.to_owned() }
    }

    /// Nobody yet.
    pub fn nobody(address: &str) -> Self {
        Self { address: address.to_owned(), cookie: String::new(), name: String::new() }
    }

    /// Reads something.
    pub fn get(&self, path: &str) -> Value {
        serde_json::from_str(&self.text(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    /// Reads something as text.
    pub fn text(&self, path: &str) -> String {
        let asked = agent().get(format!("{}{path}", self.address)).header("cookie", &self.cookie).call();
        read(asked).unwrap_or_else(|(status, said)| panic!("{path}: {status} {said}"))
    }

    /// Asks for something; `Null` where the answer is empty.
    ///
    /// # Errors
    /// What was answered instead.
    pub fn try_post(&self, path: &str, body: &Value) -> Result<Value, Refusal> {
        let asked = agent()
            .post(format!("{}{path}", self.address))
            .header("x-fulltray", "1")
            .header("cookie", &self.cookie)
            .send_json(body);
        Ok(serde_json::from_str(&read(asked)?).unwrap_or(Value::Null))
    }

    /// As [`Caller::try_post`], where nothing else than well is expected.
    pub fn post(&self, path: &str, body: &Value) -> Value {
        self.try_post(path, body).unwrap_or_else(|refused| panic!("{path}: {refused:?}"))
    }

    /// Tells events, none of which may be refused.
    pub fn tell(&self, events: &[Value]) {
        // As many as the interface takes at once.
        for some in events.chunks(500) {
            let told = self.post("/api/events", &json!({ "events": some }));
            assert_eq!(told["refused"], json!([]), "{}: events are taken", self.name);
        }
    }
}

fn agent() -> ureq::Agent {
    ureq::Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(120)))
        .http_status_as_error(false)
        .build()
        .into()
}

fn read(asked: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Result<String, Refusal> {
    let mut answer = asked.map_err(|error| (0, error.to_string()))?;
    let status = answer.status();
    let text = answer.body_mut().with_config().limit(64 << 20).read_to_string().unwrap_or_default();
    if status.is_success() { Ok(text) } else { Err((status.as_u16(), text)) }
}
