//! A real server process with a small kitchen, and a client that speaks HTTP to it.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use serde_json::{Value, json};

/// One machine and two people: planned in a moment.
pub const KITCHEN: &str = r#"fulltray 1
kitchen "test" {
    title "A kitchen for tests (invented)"
    languages "en" "es"
    place "back bench"
    place "sinks"
    walk "back bench" "sinks" "12 s"
    skill "blades"
    person "Marisol" from="21:30" language="es" { can "blades"; }
    person "Teo" from="21:30" language="en" { can "blades"; }
    closing from="21:30" out-by="00:15" on="wednesday"
    machine "slicer" file="slicer.machine.kdl" at="back bench"
    kit "bucket" count=4
    sink "wash sink" count=1 at="sinks"
    sink "rinse sink" count=1 at="sinks"
    sink "sanitiser sink" count=1 at="sinks"
}
"#;

const FIRST: &str = "First start: make the lead on the page that opens, with the code ";

const TRUST: &str = "Tablets trust it through /trust. Its certificate's SHA-256: ";

/// Runs a program of Python and gives what it prints; `None`, and a word about it, where there is no Python.
pub fn python(program: &str, arguments: &[&str]) -> Option<String> {
    let python = std::env::var("FULLTRAY_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let Ok(output) = Command::new(&python).arg("-c").arg(program).args(arguments).output() else {
        println!("SKIPPED: there is no {python}");
        return None;
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).expect("it prints text"))
}

/// A server.
pub struct Site {
    child: Child,
    lines: Option<std::thread::JoinHandle<Vec<String>>>,
    /// Where it is.
    pub base: String,
    /// The code of the first start.
    pub code: Option<String>,
    /// SHA-256 of its authority, where it has one.
    pub fingerprint: Option<String>,
}

impl Site {
    /// Starts one on the record in a folder.
    pub fn start(folder: &Path) -> Self {
        Self::start_with(folder, &[])
    }

    /// Starts one with more arguments.
    pub fn start_with(folder: &Path, arguments: &[&str]) -> Self {
        std::fs::write(folder.join("test.kitchen.kdl"), KITCHEN).expect("the folder can be written");
        let slicer = include_str!("../../../../demo/slicer.machine.kdl");
        std::fs::write(folder.join("slicer.machine.kdl"), slicer).expect("likewise");
        let mut child = Command::new(env!("CARGO_BIN_EXE_fulltray"))
            .args(["serve", "--listen", "127.0.0.1:0"])
            .arg("--store")
            .arg(folder.join("record.db"))
            .arg(folder.join("test.kitchen.kdl"))
            .args(arguments)
            .env("FULLTRAY_METRICS_TOKEN", "a-token")
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(child.stdout.take().expect("its output is piped")).lines();
        let (mut base, mut code, mut fingerprint) = (None, None, None);
        while base.is_none() {
            let line = lines.next().expect("it says where it is").expect("in text");
            if let Some(rest) = line.strip_prefix(FIRST) {
                code = Some(rest.to_owned());
            }
            if let Some(rest) = line.strip_prefix(TRUST) {
                fingerprint = Some(rest.to_owned());
            }
            if let Some(rest) = line.strip_prefix("Open ") {
                let address = rest.split_whitespace().next().expect("an address");
                base = Some(address.trim_end_matches('/').replace("localhost", "127.0.0.1"));
            }
        }
        // It never waits for a reader of its lines; they are kept to look for what must not be in them.
        let lines = std::thread::spawn(move || lines.map_while(Result::ok).collect());
        Self { child, lines: Some(lines), base: base.expect("it was told"), code, fingerprint }
    }

    /// Ends it as a power cut would.
    pub fn kill(mut self) {
        self.child.kill().expect("it runs");
        self.child.wait().expect("it has ended");
    }

    /// Asks it to end; its exit code, and all that it wrote.
    pub fn end(mut self) -> (Option<i32>, Vec<String>) {
        let id = self.child.id().to_string();
        Command::new("kill").args(["-TERM", &id]).status().expect("kill is there");
        let code = self.child.wait().expect("it ends").code();
        let lines = self.lines.take().map(|lines| lines.join().expect("reading does not panic"));
        (code, lines.unwrap_or_default())
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// An answer.
pub struct Answer {
    pub status: u16,
    pub json: Value,
    pub text: String,
    pub location: Option<String>,
}

/// A browser: cookies, and a device that counts its events.
pub struct Client {
    agent: ureq::Agent,
    base: String,
    pub cookies: Vec<(String, String)>,
    pub device: String,
    order: AtomicU64,
}

/// An open stream of events.
pub struct Listening(Receiver<(String, Value)>);

impl Listening {
    /// The next frame: its kind and its data; `None` once the server has gone.
    pub fn next(&self) -> Option<(String, Value)> {
        match self.0.recv_timeout(Duration::from_secs(60)) {
            Ok(frame) => Some(frame),
            Err(RecvTimeoutError::Disconnected) => None,
            Err(RecvTimeoutError::Timeout) => panic!("nothing comes, not even a beat"),
        }
    }

    /// The next frame of a kind; others are passed over.
    pub fn next_of(&self, wanted: &str) -> Value {
        loop {
            let (kind, data) = self.next().expect("the server is there");
            if kind == wanted {
                return data;
            }
        }
    }
}

static SERIAL: AtomicU64 = AtomicU64::new(1);

impl Client {
    pub fn new(base: &str) -> Self {
        // A server may close a connection on which it refused something before it read all of it, and this client, other
        // than a browser, does not ask again on another one: so each question has a connection of its own.
        let config = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .max_idle_connections(0)
            .build();
        let device = format!("tablet-{}", SERIAL.fetch_add(1, Ordering::Relaxed));
        let (base, cookies, order) = (base.to_owned(), Vec::new(), AtomicU64::new(0));
        Self { agent: config.into(), base, cookies, device, order }
    }

    /// The same browser, after the server came back elsewhere.
    pub fn at(mut self, base: &str) -> Self {
        base.clone_into(&mut self.base);
        self
    }

    fn cookie(&self) -> String {
        self.cookies.iter().map(|(name, value)| format!("{name}={value}")).collect::<Vec<_>>().join("; ")
    }

    fn taken(&mut self, answer: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Answer {
        let mut answer = answer.expect("the server answers");
        for set in answer.headers().get_all("set-cookie") {
            let pair = set.to_str().expect("text").split(';').next().expect("a pair");
            let (name, value) = pair.split_once('=').expect("name and value");
            self.cookies.retain(|(known, _)| known != name);
            self.cookies.push((name.to_owned(), value.to_owned()));
        }
        let location =
            answer.headers().get("location").and_then(|value| value.to_str().ok()).map(str::to_owned);
        let status = answer.status().as_u16();
        let text = answer.body_mut().read_to_string().unwrap_or_default();
        Answer { status, json: serde_json::from_str(&text).unwrap_or(Value::Null), text, location }
    }

    pub fn get(&mut self, path: &str) -> Answer {
        let url = format!("{}{path}", self.base);
        let asked = self.agent.get(url).header("cookie", self.cookie()).call();
        self.taken(asked)
    }

    /// The bytes of a file, with its status and media type.
    pub fn file(&mut self, path: &str) -> (u16, String, Vec<u8>) {
        let url = format!("{}{path}", self.base);
        let asked = self.agent.get(url).header("cookie", self.cookie()).call();
        let mut answer = asked.expect("the server answers");
        let media =
            answer.headers().get("content-type").and_then(|value| value.to_str().ok()).map(str::to_owned);
        let bytes = answer.body_mut().read_to_vec().expect("a body");
        (answer.status().as_u16(), media.unwrap_or_default(), bytes)
    }

    /// What an answer that may never end begins with.
    pub fn head_of(&mut self, path: &str) -> Answer {
        let url = format!("{}{path}", self.base);
        let answer = self.agent.get(url).header("cookie", self.cookie()).call().expect("the server answers");
        Answer { status: answer.status().as_u16(), json: Value::Null, text: String::new(), location: None }
    }

    /// Listens to what happens.
    pub fn listen(&self, question: &str) -> Listening {
        let url = format!("{}/api/stream{question}", self.base);
        let answer = self.agent.get(url).header("cookie", self.cookie()).call().expect("the server answers");
        assert_eq!(answer.status().as_u16(), 200);
        let lines = BufReader::new(answer.into_body().into_reader()).lines();
        let (tell, frames) = channel();
        std::thread::spawn(move || {
            let (mut kind, mut data) = (String::new(), Value::Null);
            for line in lines.map_while(Result::ok) {
                match line.split_once(": ") {
                    Some(("event", rest)) => rest.clone_into(&mut kind),
                    Some(("data", rest)) => data = serde_json::from_str(rest).expect("frames carry JSON"),
                    _ if line.is_empty() && tell.send((kind.clone(), data.take())).is_err() => return,
                    _ => {}
                }
            }
        });
        Listening(frames)
    }

    pub fn post(&mut self, path: &str, body: &Value) -> Answer {
        self.post_with(path, body, &[("x-fulltray", "1")])
    }

    pub fn post_with(&mut self, path: &str, body: &Value, headers: &[(&str, &str)]) -> Answer {
        let url = format!("{}{path}", self.base);
        let mut asked = self.agent.post(url).header("cookie", self.cookie());
        for (name, value) in headers {
            asked = asked.header(*name, *value);
        }
        let asked = asked.send_json(body);
        self.taken(asked)
    }

    pub fn sign_in(&mut self, name: &str, pin: &str) -> Answer {
        self.post("/api/sign-in", &json!({ "name": name, "pin": pin }))
    }

    /// The next event of this device, which belongs to no night and no machine; it happened so many minutes ago.
    pub fn told(&self, person: &str, minutes_ago: f64, fact: &Value) -> Value {
        let mut event = self.event(person, "", fact);
        let fields = event.as_object_mut().expect("an event is an object");
        fields.remove("run");
        fields.remove("machine");
        let now = fields["at_ms"].as_u64().expect("a time");
        fields["at_ms"] = json!(now - (minutes_ago * 60_000.0) as u64);
        event
    }

    /// The next event of this device.
    pub fn event(&self, person: &str, run: &str, fact: &Value) -> Value {
        let now = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_millis() as u64;
        let order = self.order.fetch_add(1, Ordering::Relaxed) + 1;
        let mut random = [7_u8; 10];
        random[..8].copy_from_slice(&SERIAL.fetch_add(1, Ordering::Relaxed).to_be_bytes());
        json!({
            "v": 1, "id": ft_record::uuid7(now, random), "device": self.device, "order": order, "at_ms": now,
            "zone": "Etc/UTC", "person": person, "run": run, "machine": "slicer", "fact": fact,
        })
    }
}
