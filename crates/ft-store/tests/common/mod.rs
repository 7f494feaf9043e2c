//! What the tests of the store share: events, and a PostgreSQL of their own.
// A helper of a test may stop the test, and not every test needs every helper.
#![allow(clippy::unwrap_used, dead_code)]

use std::fs;
use std::os::unix::fs::MetadataExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use ft_record::{Event, Fact, VERSION};

/// An event of a device, by its count.
pub fn event(device: &str, order: u64, fact: Fact) -> Event {
    let id = format!("01900000-0000-7000-8000-{:012x}", order + 1_000_000 * u64::from(device.as_bytes()[0]));
    Event {
        v: VERSION,
        id,
        device: device.to_owned(),
        order,
        at_ms: 1_764_100_000_000 + i64::try_from(order).unwrap(),
        zone: "Atlantic/Canary".to_owned(),
        person: Some("Ana".to_owned()),
        run: Some("01900000-0000-7000-8000-000000000000".to_owned()),
        machine: Some("shake".to_owned()),
        fact,
    }
}

/// Words, with letters beyond ASCII and what JSON must escape.
pub fn note(device: &str, order: u64) -> Event {
    event(device, order, Fact::Note { text: format!("nº {order}: «¿lista?» \"yes\" \\ \n ❄") })
}

/// A PostgreSQL server in a folder of its own, reached through a socket there; gone when dropped.
pub struct Cluster {
    folder: tempfile::TempDir,
    server: Option<Child>,
    databases: std::cell::Cell<u32>,
}

impl Cluster {
    /// Starts one, or says in words why there is none.
    pub fn start() -> Option<Self> {
        let Some(programs) = programs() else {
            eprintln!("SKIPPED: PostgreSQL is not installed, so nothing was tried on it");
            return None;
        };
        let folder = tempfile::Builder::new().prefix("fulltray-pg").tempdir().unwrap();
        if is_root() {
            assert!(Command::new("chown").arg("postgres").arg(folder.path()).status().unwrap().success());
        }
        let data = folder.path().join("data");
        let made = as_postgres(&programs.join("initdb"))
            .args(["--auth=trust", "--username=postgres", "--encoding=UTF8", "--no-locale", "--pgdata"])
            .arg(&data)
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        let mut cluster = Self { folder, server: None, databases: std::cell::Cell::new(0) };
        cluster.run();
        Some(cluster)
    }

    /// Starts the server and waits until it answers.
    pub fn run(&mut self) {
        let begin = Instant::now();
        let mut server = self.spawn();
        while postgres::Client::connect(&self.address("postgres"), postgres::NoTls).is_err() {
            let log = || fs::read_to_string(self.folder.path().join("log")).unwrap();
            assert!(begin.elapsed() < Duration::from_secs(300), "{}", log());
            std::thread::sleep(Duration::from_millis(20));
            // It refuses to start while processes of the one that was killed are still going away.
            if server.try_wait().unwrap().is_some() {
                server = self.spawn();
            }
        }
        self.server = Some(server);
    }

    fn spawn(&self) -> Child {
        let log = fs::File::create(self.folder.path().join("log")).unwrap();
        as_postgres(&programs().unwrap().join("postgres"))
            .arg("-D")
            .arg(self.folder.path().join("data"))
            .args(["-c", "listen_addresses=", "-c", "shared_buffers=16MB", "-k"])
            .arg(self.folder.path())
            .current_dir(self.folder.path())
            .stdout(Stdio::null())
            .stderr(log)
            .spawn()
            .unwrap()
    }

    /// The address of one of its databases.
    pub fn address(&self, database: &str) -> String {
        format!("postgresql:///{database}?user=postgres&host={}", self.folder.path().display())
    }

    /// The address of a new, empty database.
    pub fn database(&self) -> String {
        let name = format!("record{}", self.databases.get());
        self.databases.set(self.databases.get() + 1);
        let mut client = postgres::Client::connect(&self.address("postgres"), postgres::NoTls).unwrap();
        client.batch_execute(&format!("CREATE DATABASE {name}")).unwrap();
        self.address(&name)
    }

    /// Throws a database away: after a crash the server syncs every file that it has, of old databases too.
    pub fn discard(&self, address: &str) {
        let name = address.trim_start_matches("postgresql:///").split('?').next().unwrap();
        let mut client = postgres::Client::connect(&self.address("postgres"), postgres::NoTls).unwrap();
        client.batch_execute(&format!("DROP DATABASE {name} WITH (FORCE)")).unwrap();
    }

    /// Kills every process of the server at once, as a crash would.
    pub fn kill(&mut self) {
        let signal = |name: &str, pid: u32| {
            // One that has just ended by itself is no failure.
            let _ = Command::new("kill").args([name, &pid.to_string()]).stderr(Stdio::null()).status();
        };
        if let Some(mut server) = self.server.take() {
            // Stopped first, so that it has no more children than those that are seen.
            signal("-STOP", server.id());
            for pid in children(server.id()) {
                signal("-KILL", pid);
            }
            signal("-KILL", server.id());
            server.wait().unwrap();
        }
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        if let Some(mut server) = self.server.take() {
            // An immediate stop: the folder goes away with it.
            let _ = Command::new("kill").args(["-QUIT", &server.id().to_string()]).status();
            let _ = server.wait();
        }
    }
}

fn children(parent: u32) -> Vec<u32> {
    let listed = Command::new("ps").args(["-o", "pid=", "--ppid", &parent.to_string()]).output().unwrap();
    String::from_utf8(listed.stdout).unwrap().split_whitespace().map(|pid| pid.parse().unwrap()).collect()
}

fn programs() -> Option<PathBuf> {
    let debian = fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut folders: Vec<PathBuf> = debian.map(|version| version.path().join("bin")).collect();
    folders.sort();
    let path = std::env::var_os("PATH")?;
    folders.extend(std::env::split_paths(&path));
    folders.into_iter().find(|folder| folder.join("initdb").exists() && folder.join("postgres").exists())
}

fn is_root() -> bool {
    fs::metadata("/proc/self").is_ok_and(|me| me.uid() == 0)
}

/// PostgreSQL refuses to run as root.
fn as_postgres(program: &Path) -> Command {
    if !is_root() {
        return Command::new(program);
    }
    let mut command = Command::new("setpriv");
    command.args(["--reuid=postgres", "--regid=postgres", "--clear-groups", "--"]).arg(program);
    command
}
