//! The program, started as a kitchen would start it: a process of its own, on a folder of its own.

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use serde_json::{Value, json};

use crate::{Caller, Session, root};

/// The PIN of everybody in these tests.
pub const PIN: &str = "271828";

/// One shake freezer, two people.
const KITCHEN: &str = r#"fulltray 1

kitchen "pier" {
    title "The kiosk at the end of the pier (invented)"
    title es "El quiosco al final del muelle (inventado)"
    languages "en" "es"
    place "window" { label es "ventanilla"; }
    place "sinks" { label es "fregaderos"; }
    walk "window" "sinks" "14 s"
    skill "rerun" { label es "reproceso"; }
    person "Marisol" from="21:30" language="en" { can "rerun"; }
    person "Teo" from="21:30" language="en" { can "rerun"; }
    closing from="21:30" out-by="23:59" on="wednesday"
    machine "shake freezer" file="shake.machine.kdl" at="window" { label es "batidora heladora"; }
    kit "bucket" count=4 { label es "cubo"; }
    sink "wash sink" count=1 at="sinks" { label es "fregadero de lavado"; }
    sink "rinse sink" count=1 at="sinks" { label es "fregadero de enjuague"; }
    sink "sanitiser sink" count=1 at="sinks" { label es "fregadero de desinfección"; }
}
"#;

/// A running site.
#[derive(Debug)]
pub struct Site {
    program: PathBuf,
    folder: PathBuf,
    port: u16,
    running: Mutex<Option<Running>>,
    lead: Mutex<Option<Caller>>,
}

#[derive(Debug)]
struct Running {
    process: Child,
    code: Option<String>,
}

impl Site {
    /// Starts the program on a new folder with a kitchen of one shake freezer.
    pub fn start(program: &str) -> Self {
        Self::start_and(program, &[])
    }

    /// The same with more files beside it.
    pub fn start_and(program: &str, files: &[(&str, &str)]) -> Self {
        let shake = std::fs::read_to_string(root().join("demo/shake.machine.kdl")).expect("a demo file");
        Self::start_with(program, KITCHEN, &[&[("shake.machine.kdl", shake.as_str())], files].concat())
    }

    /// Starts the program on a new folder with a kitchen file and machine files, by their names; a file `pier.probes.kdl` among
    /// them says its probes.
    pub fn start_with(program: &str, kitchen: &str, machines: &[(&str, &str)]) -> Self {
        let port = std::net::TcpListener::bind(("127.0.0.1", 0))
            .and_then(|listener| listener.local_addr())
            .expect("a free port")
            .port();
        let folder = std::env::temp_dir().join(format!("fulltray-site-{}-{port}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder for the site");
        std::fs::write(folder.join("pier.kitchen.kdl"), kitchen).expect("a kitchen");
        for (name, text) in machines {
            std::fs::write(folder.join(name), text).expect("a machine");
        }
        let site =
            Self { program: program.into(), folder, port, running: Mutex::new(None), lead: Mutex::new(None) };
        site.start_again();
        site
    }

    /// Starts it on what it left.
    pub fn start_again(&self) {
        let mut process = Command::new(&self.program)
            .arg("serve")
            .arg(self.folder.join("pier.kitchen.kdl"))
            .args(["--listen", &format!("127.0.0.1:{}", self.port)])
            .arg("--store")
            .arg(self.folder.join("record.db"))
            .args(self.probes())
            .current_dir(&self.folder)
            // Times on pages are those of the server's zone: the same one wherever the tests run.
            .env("TZ", "UTC")
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("the program starts");
        let lines = read(process.stdout.take().expect("its output"));
        let begin = std::time::Instant::now();
        let mut said = String::new();
        while !self.is_up() {
            assert!(begin.elapsed() < Duration::from_secs(90), "the site does not start; it said:\n{said}");
            if let Ok(line) = lines.recv_timeout(Duration::from_millis(100)) {
                said += &line;
                said.push('\n');
            }
        }
        while let Ok(line) = lines.recv_timeout(Duration::from_millis(100)) {
            said += &line;
            said.push('\n');
        }
        let code = code_in(&said);
        *self.running.lock().unwrap_or_else(PoisonError::into_inner) = Some(Running { process, code });
    }

    /// The file of probes, where the folder has one.
    fn probes(&self) -> Vec<String> {
        let file = self.folder.join("pier.probes.kdl");
        if file.exists() { vec!["--probes".to_owned(), file.display().to_string()] } else { Vec::new() }
    }

    /// Kills it, as a power cut would.
    pub fn kill(&self) {
        if let Some(mut running) = self.running.lock().unwrap_or_else(PoisonError::into_inner).take() {
            running.process.kill().ok();
            running.process.wait().ok();
        }
    }

    /// Where it can be asked.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Its port.
    pub fn port(&self) -> u16 {
        self.port
    }

    fn is_up(&self) -> bool {
        ureq::get(format!("{}/health", self.address())).call().is_ok()
    }

    /// Where its files and its record are.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The code of the first start, as the terminal shows it.
    pub fn code(&self) -> String {
        let running = self.running.lock().unwrap_or_else(PoisonError::into_inner);
        running.as_ref().and_then(|running| running.code.clone()).expect("a code for the first start")
    }

    /// Sets up the lead without a browser.
    pub fn set_up_alone(&self, name: &str) {
        let asked = json!({ "code": self.code(), "name": name, "pin": PIN, "language": "en" });
        Caller::nobody(&self.address()).post("/api/set-up", &asked);
        self.sign_in(name);
    }

    /// Sets up the lead at a tablet, with the code from the terminal.
    pub fn set_up(&self, tablet: &Session, name: &str) {
        let code = self.code();
        tablet.go(&self.address());
        tablet.until("the page of the first start", "return document.getElementById('set-up')");
        tablet.type_into("input[name=code]", &code);
        tablet.type_into("input[name=name]", name);
        tablet.type_into("input[name=pin]", PIN);
        tablet.touch("#set-up button[type=submit]");
        tablet.until("tonight", "return location.pathname === '/'");
        self.sign_in(name);
    }

    /// Signs the lead in beside the tablets, so that a test can ask and add as they can.
    pub fn sign_in(&self, name: &str) {
        let lead = self.caller(name);
        *self.lead.lock().unwrap_or_else(PoisonError::into_inner) = Some(lead);
    }

    /// Somebody who works here, signed in without a browser.
    pub fn caller(&self, name: &str) -> Caller {
        Caller::sign_in(&self.address(), name, PIN)
    }

    /// The lead.
    pub fn lead(&self) -> Caller {
        let lead = self.lead.lock().unwrap_or_else(PoisonError::into_inner);
        lead.clone().expect("a lead was set up")
    }

    /// Adds somebody, as the lead.
    pub fn add(&self, name: &str, roles: &[&str]) {
        self.lead()
            .post("/api/people", &json!({ "name": name, "roles": roles, "language": "en", "pin": PIN }));
    }

    /// The events of the run, as the lead reads them.
    pub fn events(&self) -> Vec<Value> {
        match self.lead().get("/api/run")["events"].take() {
            Value::Array(events) => events.into_iter().map(|mut one| one["event"].take()).collect(),
            _ => Vec::new(),
        }
    }

    /// Every event of the record, read as an inspector reads it.
    pub fn record(&self) -> Vec<Value> {
        let lead = self.lead();
        let link = lead.post("/api/inspect", &json!({ "days": 1 }));
        let lines = lead.text(&format!("{}/record.jsonl", link["path"].as_str().expect("a path")));
        let event = |line: &str| {
            let mut line: Value = serde_json::from_str(line).expect("a line is JSON");
            // The first line and seals tell of no event.
            line.get_mut("stored").map(|stored| stored["event"].take())
        };
        lines.lines().filter_map(event).collect()
    }
}

/// The lines that the program says, as they come.
fn read(output: impl std::io::Read + Send + 'static) -> Receiver<String> {
    let (sender, lines) = channel();
    std::thread::spawn(move || {
        for line in BufReader::new(output).lines().map_while(Result::ok) {
            // Nobody listens any more; the program may still speak.
            sender.send(line).ok();
        }
    });
    lines
}

/// The code of the first start in what the program said: two groups of capitals and digits.
fn code_in(said: &str) -> Option<String> {
    let is_group =
        |group: &str| 4 <= group.len() && group.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit());
    said.split_whitespace()
        .map(|word| word.trim_matches(|letter: char| !letter.is_ascii_alphanumeric()))
        .find(|word| word.split_once('-').is_some_and(|(one, two)| is_group(one) && is_group(two)))
        .map(str::to_owned)
}

impl Drop for Site {
    fn drop(&mut self) {
        self.kill();
        let is_ours = self.folder.starts_with(std::env::temp_dir());
        if is_ours && Path::new(&self.folder).exists() {
            std::fs::remove_dir_all(&self.folder).ok();
        }
    }
}
