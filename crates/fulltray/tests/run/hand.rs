//! A person at the keyboard: reads what is shown until something is asked, and types a line.
//!
//! The program is a process of its own as a kitchen starts it; or, where hours have to pass, the same night in a thread,
//! whose clock goes forward only while the program waits.

use std::io::{BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use ft_server::{Config, Seat};
use ft_terminal::{Ended, Lines, Time};

/// The PIN of everybody in these tests.
pub const PIN: &str = "271828";

const SHAKE: &str = r#"fulltray 1

kitchen "pier" {
    title "The kiosk at the end of the pier (invented)"
    title es "El quiosco al final del muelle (inventado)"
    languages "en" "es"
    place "window" { label es "ventanilla"; }
    place "sinks" { label es "fregaderos"; }
    walk "window" "sinks" "14 s"
    skill "rerun" { label es "reproceso"; }
    person "Marisol" from="21:30" language="en" { can "rerun"; }
    person "Wren" from="21:30" language="en"
    closing from="21:30" out-by="03:00" on="wednesday"
    machine "shake freezer" file="shake.machine.kdl" at="window" { label es "batidora heladora"; }
    kit "bucket" count=4 { label es "cubo"; }
    sink "wash sink" count=1 at="sinks" { label es "fregadero de lavado"; }
    sink "rinse sink" count=1 at="sinks" { label es "fregadero de enjuague"; }
    sink "sanitiser sink" count=1 at="sinks" { label es "fregadero de desinfección"; }
}
"#;

/// A kitchen of one shake freezer in a folder of its own.
pub struct Kitchen {
    folder: PathBuf,
}

impl Kitchen {
    pub fn new(name: &str) -> Self {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("run-{name}"));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder");
        std::fs::write(folder.join("pier.kitchen.kdl"), SHAKE).expect("a kitchen");
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/shake.machine.kdl");
        std::fs::copy(demo, folder.join("shake.machine.kdl")).expect("a machine");
        Self { folder }
    }

    pub fn file(&self) -> String {
        self.folder.join("pier.kitchen.kdl").to_str().expect("a plain path").to_owned()
    }

    pub fn store(&self) -> String {
        self.folder.join("night.db").to_str().expect("a plain path").to_owned()
    }

    /// All that is in the record, by what happened.
    pub fn facts(&self) -> Vec<ft_record::Event> {
        let store = ft_store::Store::open_existing(&self.store()).expect("the record is there");
        store.since(0, 5000).expect("it can be read").into_iter().map(|stored| stored.event).collect()
    }
}

/// Answers of a command that was run to its end.
pub fn fulltray(arguments: &[&str]) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_fulltray")).args(arguments).output().expect("it starts");
    let said = [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    (output.status.code(), said.concat())
}

enum Night {
    Process(Child, Option<ChildStdin>),
    Thread(Option<JoinHandle<Ended>>, Option<Sender<Vec<u8>>>),
}

/// A person at the keyboard.
pub struct Hand {
    night: Night,
    shows: Receiver<Vec<u8>>,
    enter: &'static str,
    /// What was shown since the last answer.
    page: String,
    /// All that was shown and typed.
    pub said: String,
}

impl Hand {
    /// Starts the program as a process.
    pub fn starts(kitchen: &Kitchen, more: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fulltray"));
        command.args(["run", &kitchen.file(), "--store", &kitchen.store()]).args(more);
        Self::at(command, "\n")
    }

    /// Starts the program with the demo kitchen, which is built in.
    pub fn starts_demo(kitchen: &Kitchen) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fulltray"));
        command.args(["run", "--store", &kitchen.store()]);
        Self::at(command, "\n")
    }

    /// Starts the program in a terminal; `None`, and a word on it, where `script` cannot make one.
    pub fn at_a_terminal(kitchen: &Kitchen) -> Option<Self> {
        if Command::new("script").arg("--version").output().is_err() {
            println!("SKIPPED: there is no `script` to make a terminal");
            return None;
        }
        let program = env!("CARGO_BIN_EXE_fulltray");
        let inner = format!("'{program}' run '{}' --store '{}'", kitchen.file(), kitchen.store());
        let mut command = Command::new("script");
        command.args(["--quiet", "--return", "--flush", "--command", &inner, "/dev/null"]);
        Some(Self::at(command, "\r"))
    }

    fn at(mut command: Command, enter: &'static str) -> Self {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let (sender, shows) = channel();
        // Whatever stands on standard error is shown as well: a test wants to see it.
        for mut output in [
            Box::new(child.stdout.take().expect("piped")) as Box<dyn Read + Send>,
            Box::new(child.stderr.take().expect("piped")),
        ] {
            let sender = sender.clone();
            std::thread::spawn(move || {
                let mut bytes = [0; 4096];
                while let Ok(count @ 1..) = output.read(&mut bytes) {
                    if sender.send(bytes[..count].to_vec()).is_err() {
                        return;
                    }
                }
            });
        }
        let stdin = child.stdin.take();
        Self { night: Night::Process(child, stdin), shows, enter, page: String::new(), said: String::new() }
    }

    /// The same night in a thread of this test, whose clock stands still until the program waits.
    pub fn sits_down(kitchen: &Kitchen) -> Self {
        let (typed, types) = channel();
        let (shown, shows) = channel();
        let (file, store) = (kitchen.file(), kitchen.store());
        let night = std::thread::spawn(move || {
            let read = move |name: Option<&str>| {
                let path = match name {
                    Some(name) => Path::new(&file).parent().expect("a folder").join(name),
                    None => PathBuf::from(&file),
                };
                let text = std::fs::read_to_string(&path).map_err(|error| error.to_string())?;
                Ok(ft_app::Source { name: path.to_string_lossy().into_owned(), text })
            };
            let config = Config { store, ..Config::default() };
            let mut seat = Seat::open(config, Box::new(read)).unwrap_or_else(|_| panic!("a site"));
            let begun = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_millis();
            let clock = Arc::new(AtomicI64::new(i64::try_from(begun).expect("this era")));
            let goes = Arc::clone(&clock);
            let time = Time {
                now_ms: Box::new(move || clock.load(Ordering::Relaxed)),
                sleep: Box::new(move |span: Duration| {
                    goes.fetch_add(i64::try_from(span.as_millis()).expect("short"), Ordering::Relaxed);
                }),
            };
            let mut lines = Lines::new(BufReader::new(Keys(types, Vec::new())), Screen(shown), time);
            ft_terminal::run(&mut seat, &mut lines, "closing", None).expect("it can be shown")
        });
        let night = Night::Thread(Some(night), Some(typed));
        Self { night, shows, enter: "\n", page: String::new(), said: String::new() }
    }

    /// What is shown until something is asked; also at the end of the program.
    pub fn page(&mut self) -> &str {
        loop {
            // A prompt is the only thing that does not end its line; more of the page may still be on its way.
            let is_asked = self.page.ends_with(' ');
            let patience = if is_asked { Duration::from_millis(30) } else { Duration::from_secs(120) };
            match self.shows.recv_timeout(patience) {
                Ok(bytes) => {
                    let text = String::from_utf8_lossy(&bytes).into_owned();
                    self.said += &text;
                    self.page += &text;
                }
                Err(RecvTimeoutError::Timeout) => {
                    assert!(is_asked, "nothing is asked:\n{}", self.page);
                    return &self.page;
                }
                Err(RecvTimeoutError::Disconnected) => return &self.page,
            }
        }
    }

    /// Reads what is shown, and types a line.
    pub fn types(&mut self, line: &str) {
        let enter = self.enter;
        self.presses(&format!("{line}{enter}"));
    }

    /// Reads what is shown, and presses keys.
    pub fn presses(&mut self, keys: &str) {
        self.page();
        self.page.clear();
        let bytes = keys.as_bytes().to_vec();
        match &mut self.night {
            Night::Process(_, Some(stdin)) => {
                stdin.write_all(&bytes).and_then(|()| stdin.flush()).expect("it reads");
            }
            Night::Thread(_, Some(typed)) => typed.send(bytes).expect("it reads"),
            Night::Process(_, None) | Night::Thread(_, None) => panic!("the keyboard is gone"),
        }
    }

    /// Types a line, and says what is shown then.
    pub fn sees(&mut self, line: &str) -> String {
        self.types(line);
        self.page().to_owned()
    }

    /// Sets up the first person and begins the night.
    pub fn begins(&mut self, name: &str, yes: &str) {
        for line in [name, PIN, PIN, yes] {
            self.types(line);
        }
    }

    /// Whether time passes at no cost.
    fn is_patient(&self) -> bool {
        matches!(self.night, Night::Thread(..))
    }

    /// Does what each page asks for until everything is done, or for so many answers, or until real time would have to
    /// pass; gives how many answers there were.
    pub fn works(&mut self, most: usize) -> usize {
        for count in 0..most {
            let page = self.page().to_owned();
            let says = |english: &str, spanish: &str| page.contains(english) || page.contains(spanish);
            if says("Everything is done", "Todo hecho") {
                return count;
            }
            assert!(!says("This waits for", "Esto espera a"), "one person waits for nobody:\n{page}");
            if says("What do you find?", "¿Qué encuentra?") {
                self.types("1");
            } else if says("= To measure:", "= Por medir:") {
                for line in ["m", "1", "150"] {
                    self.types(line);
                }
            } else if says("at least ", "al menos ")
                || (self.is_patient() && says("you see when", "usted ve cuándo"))
            {
                if !self.is_patient() {
                    return count;
                }
                self.types("z");
            } else {
                self.types("done");
            }
        }
        most
    }

    /// Types that everything lies in its slot.
    pub fn fills_the_tray(&mut self) -> usize {
        self.types("tray");
        let mut slots = 0;
        while self.page().contains("Lies it there?") {
            self.types("yes");
            slots += 1;
        }
        slots
    }

    /// Kills the program, as a power cut would.
    pub fn killed(mut self) {
        let Night::Process(child, _) = &mut self.night else { panic!("a thread cannot be killed") };
        child.kill().expect("it runs");
        child.wait().expect("it has ended");
    }

    /// Waits for the end; of a process the exit code.
    pub fn ended(mut self) -> (i32, String) {
        let code = match &mut self.night {
            Night::Process(child, stdin) => {
                drop(stdin.take());
                child.wait().expect("it ends").code().expect("nobody killed it")
            }
            Night::Thread(night, typed) => {
                drop(typed.take());
                match night.take().expect("once").join().expect("the night does not panic") {
                    Ended::Signed => 0,
                    Ended::Refused => 1,
                    Ended::Later => 3,
                }
            }
        };
        self.page();
        (code, self.said)
    }
}

/// Lines as they are typed.
struct Keys(Receiver<Vec<u8>>, Vec<u8>);

impl Read for Keys {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.1.is_empty() {
            self.1 = self.0.recv().unwrap_or_default();
        }
        let count = into.len().min(self.1.len());
        into[..count].copy_from_slice(&self.1[..count]);
        self.1.drain(..count);
        Ok(count)
    }
}

/// What is shown, each time that it is flushed.
struct Screen(Sender<Vec<u8>>);

impl Write for Screen {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.send(bytes.to_vec()).map_err(|_| std::io::ErrorKind::BrokenPipe)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// The last of what was shown, for a test that fails.
pub fn tail(said: &str) -> &str {
    let from = said.char_indices().rev().nth(3000).map_or(0, |(at, _)| at);
    &said[from..]
}
