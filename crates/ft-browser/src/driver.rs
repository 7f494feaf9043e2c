//! The little of `WebDriver` (W3C Recommendation, 5 June 2018) that the tests need, and Chromium's developer protocol.

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// How long the page may take until something is there: on a busy machine with few cores, long.
const PATIENCE: Duration = Duration::from_secs(60);
/// The key under which `WebDriver` names an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A running `chromedriver`.
#[derive(Debug)]
pub struct Driver {
    process: Child,
    address: String,
    scratch: PathBuf,
}

/// The size of a window in CSS pixels, with its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size(pub &'static str, pub u32, pub u32);

impl Size {
    /// A phone, held upright.
    pub const PHONE: Size = Size("phone", 390, 844);
    /// A tablet in a splash case.
    pub const TABLET: Size = Size("tablet", 1024, 768);
    /// The lead's and the trainer's desk.
    pub const DESKTOP: Size = Size("desktop", 1440, 900);
    /// All of them.
    pub const ALL: [Size; 3] = [Size::PHONE, Size::TABLET, Size::DESKTOP];
}

impl Driver {
    /// Starts the driver; `None`, and a word on it, where the browser is not installed.
    pub fn start() -> Option<Self> {
        let is_there = |program: &str| {
            Command::new(program)
                .arg("--version")
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status()
                .is_ok()
        };
        if !is_there("chromedriver") || !is_there("chromium") {
            println!("SKIPPED: there is no `chromium` with its `chromedriver`");
            return None;
        }
        let mut process = Command::new("chromedriver")
            .args(["--port=0", "--log-level=WARNING"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts");
        let mut lines = BufReader::new(process.stdout.take().expect("its output")).lines();
        let port = lines
            .find_map(|line| {
                let line = line.ok()?;
                line.split_once("successfully on port ")?.1.trim_end_matches('.').parse::<u16>().ok()
            })
            .expect("chromedriver says its port");
        std::thread::spawn(move || lines.for_each(drop));
        let scratch = std::env::temp_dir().join(format!("fulltray-browser-{}-{port}", std::process::id()));
        Some(Self { process, address: format!("http://127.0.0.1:{port}"), scratch })
    }

    /// A browser of its own, with an empty profile.
    pub fn session(&self, name: &str, size: Size) -> Session {
        let profile = self.scratch.join(name);
        std::fs::create_dir_all(&profile).expect("a folder for the profile");
        let Size(_, width, height) = size;
        let capabilities = json!({ "capabilities": { "alwaysMatch": {
            "browserName": "chrome",
            "goog:loggingPrefs": { "browser": "ALL" },
            "goog:chromeOptions": {
                "binary": "/usr/bin/chromium",
                "args": [
                    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                    "--disable-background-networking", "--disable-component-update", "--disable-sync",
                    "--disable-dev-shm-usage", "--autoplay-policy=no-user-gesture-required",
                    format!("--user-data-dir={}", profile.display()), format!("--window-size={width},{height}"),
                ],
            },
        } } });
        let answer = post(&format!("{}/session", self.address), &capabilities).expect("a browser starts");
        let id = answer["sessionId"].as_str().expect("the session's name");
        let session =
            Session { name: name.to_owned(), base: format!("{}/session/{id}", self.address), is_over: false };
        session.resize(size);
        session
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        self.process.kill().ok();
        self.process.wait().ok();
        std::fs::remove_dir_all(&self.scratch).ok();
    }
}

/// One browser: a tablet in somebody's hand.
#[derive(Debug)]
pub struct Session {
    /// What it is called in messages.
    pub name: String,
    base: String,
    is_over: bool,
}

fn post(url: &str, body: &Value) -> Result<Value, String> {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .http_status_as_error(false)
        .timeout_global(Some(Duration::from_secs(90)))
        .build()
        .into();
    let mut response = agent.post(url).send_json(body).map_err(|error| error.to_string())?;
    let is_well = response.status().is_success();
    let mut answer: Value = response.body_mut().read_json().map_err(|error| error.to_string())?;
    let value = answer["value"].take();
    if is_well { Ok(value) } else { Err(value["message"].as_str().unwrap_or("an error").to_owned()) }
}

impl Session {
    fn ask(&self, path: &str, body: &Value) -> Result<Value, String> {
        post(&format!("{}/{path}", self.base), body)
    }

    /// Sets the size that the page sees.
    pub fn resize(&self, Size(_, width, height): Size) {
        let of = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500 });
        self.cdp("Emulation.setDeviceMetricsOverride", &of);
    }

    /// Opens an address, and waits until it is there.
    pub fn go(&self, url: &str) {
        if let Err(why) = self.ask("url", &json!({ "url": url })) {
            panic!("{}: {url} does not open: {why}", self.name);
        }
    }

    /// The address of the page.
    pub fn path(&self) -> String {
        self.eval("return location.pathname").as_str().unwrap_or_default().to_owned()
    }

    /// Runs a script in the page and gives what it returns, waiting for promises.
    pub fn eval(&self, script: &str) -> Value {
        self.try_eval(script).unwrap_or_else(|why| panic!("{}: `{script}`: {why}", self.name))
    }

    /// As [`Session::eval`].
    ///
    /// # Errors
    /// What the script threw.
    pub fn try_eval(&self, script: &str) -> Result<Value, String> {
        self.ask("execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// A command of Chromium's developer protocol.
    pub fn cdp(&self, command: &str, params: &Value) -> Value {
        self.ask("goog/cdp/execute", &json!({ "cmd": command, "params": params }))
            .unwrap_or_else(|why| panic!("{}: {command}: {why}", self.name))
    }

    /// Waits until a script returns something that counts as true, and gives that.
    pub fn until(&self, what: &str, script: &str) -> Value {
        let begin = Instant::now();
        loop {
            let last = self.try_eval(script);
            match last {
                Ok(value) if is_true(&value) => return value,
                _ if begin.elapsed() < PATIENCE => std::thread::sleep(Duration::from_millis(40)),
                last => {
                    let text = self.try_eval("return document.body.innerText.slice(0, 1500)");
                    let said = self.console().join("\n");
                    panic!(
                        "{}: waited in vain for {what} ({last:?}) at {}; the page says:\n{}\nconsole:\n{said}",
                        self.name,
                        self.path(),
                        text.ok().as_ref().and_then(Value::as_str).unwrap_or("")
                    );
                }
            }
        }
    }

    /// Waits until the page holds a text.
    pub fn until_text(&self, text: &str) {
        self.until(text, &format!("return document.body.innerText.includes({})", json!(text)));
    }

    /// The text of the first element that a selector finds, empty where there is none.
    pub fn text(&self, selector: &str) -> String {
        let found =
            self.eval(&format!("return document.querySelector({})?.innerText ?? ''", json!(selector)));
        found.as_str().unwrap_or_default().to_owned()
    }

    /// How many elements a selector finds.
    pub fn count(&self, selector: &str) -> usize {
        let found = self.eval(&format!("return document.querySelectorAll({}).length", json!(selector)));
        found.as_u64().unwrap_or_default() as usize
    }

    /// Touches the first element that a selector finds, as a finger would: it has to be there and in sight.
    pub fn touch(&self, selector: &str) {
        self.patiently(selector, "touched", || self.once(selector));
    }

    /// Touches the first element that a selector finds, if it is there now; says whether it was.
    pub fn try_touch(&self, selector: &str) -> bool {
        self.once(selector).is_ok()
    }

    fn once(&self, selector: &str) -> Result<Value, String> {
        self.to_element(selector, "click", &json!({}))
    }

    /// Types into the first element that a selector finds.
    pub fn type_into(&self, selector: &str, text: &str) {
        let keys = json!({ "text": text });
        self.patiently(selector, "typed into", || self.to_element(selector, "value", &keys));
    }

    /// Does something to the first element that a selector finds now.
    fn to_element(&self, selector: &str, what: &str, how: &Value) -> Result<Value, String> {
        // Nobody's finger is faster than a page that is still loading.
        if self.try_eval("return document.readyState")? != json!("complete") {
            return Err("the page is still loading".to_owned());
        }
        let found = self.ask("element", &json!({ "using": "css selector", "value": selector }))?;
        let id = found[ELEMENT].as_str().unwrap_or_default();
        self.ask(&format!("element/{id}/{what}"), how)
    }

    /// Tries again what fails, since the page may just be making the element anew.
    fn patiently(&self, selector: &str, what: &str, act: impl Fn() -> Result<Value, String>) {
        let begin = Instant::now();
        while let Err(why) = act() {
            assert!(
                begin.elapsed() < PATIENCE,
                "{}: {selector} cannot be {what} at {}: {why}",
                self.name,
                self.path()
            );
            std::thread::sleep(Duration::from_millis(40));
        }
    }

    /// Presses keys where the focus is: text, or a code point that `WebDriver` has for a key.
    pub fn press(&self, keys: &str) {
        let actions: Vec<Value> = keys
            .chars()
            .flat_map(|key| {
                [json!({ "type": "keyDown", "value": key }), json!({ "type": "keyUp", "value": key })]
            })
            .collect();
        let body = json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] });
        self.ask("actions", &body).unwrap_or_else(|why| panic!("{}: keys: {why}", self.name));
    }

    /// Keeps a picture of what is seen.
    pub fn picture(&self, to: &Path) {
        use std::io::Write as _;
        let shot = self.cdp("Page.captureScreenshot", &json!({ "format": "png" }));
        let bytes = base64(shot["data"].as_str().unwrap_or_default());
        std::fs::File::create(to).and_then(|mut file| file.write_all(&bytes)).expect("a picture is kept");
    }

    /// Keeps a picture of what is seen that is small enough for a repository.
    pub fn small_picture(&self, to: &Path) {
        let shot = self.cdp("Page.captureScreenshot", &json!({ "format": "png" }));
        let bytes = crate::small::small(&base64(shot["data"].as_str().unwrap_or_default()));
        std::fs::write(to, bytes).expect("a picture is kept");
    }

    /// What the page said on its console since it was asked last, warnings and errors.
    pub fn console(&self) -> Vec<String> {
        let lines = self.ask("se/log", &json!({ "type": "browser" })).unwrap_or_default();
        lines
            .as_array()
            .map(|lines| lines.iter().map(|line| format!("{} {}", line["level"], line["message"])).collect())
            .unwrap_or_default()
    }

    /// Closes the browser.
    pub fn close(mut self) {
        self.end();
    }

    fn end(&mut self) {
        if !self.is_over {
            self.is_over = true;
            ureq::delete(&self.base).call().ok();
        }
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        self.end();
    }
}

fn is_true(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Bool(is) => *is,
        Value::Number(number) => number.as_f64() != Some(0.0),
        Value::String(text) => !text.is_empty(),
        Value::Array(_) | Value::Object(_) => true,
    }
}

/// RFC 4648, section 4; what is no letter of it ends it.
fn base64(text: &str) -> Vec<u8> {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut bits, mut count) = (0_u32, 0);
    for letter in text.bytes() {
        let Some(value) = LETTERS.iter().position(|&known| known == letter) else { break };
        bits = bits << 6 | value as u32;
        count += 6;
        if count >= 8 {
            count -= 8;
            bytes.push((bits >> count) as u8);
            bits &= (1 << count) - 1;
        }
    }
    bytes
}
