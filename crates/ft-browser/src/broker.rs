//! A real broker for probes, which can be killed and started again.

use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Debian's `mosquitto`, of a test's own.
#[derive(Debug)]
pub struct Broker {
    child: Option<Child>,
    port: u16,
    folder: PathBuf,
}

impl Broker {
    /// Starts one; `None` where there is none.
    pub fn start(folder: &Path) -> Option<Self> {
        let port = TcpListener::bind("127.0.0.1:0").expect("a port").local_addr().expect("its number").port();
        let config = format!("listener {port} 127.0.0.1\nallow_anonymous true\npersistence false\n");
        std::fs::write(folder.join("mosquitto.conf"), config).expect("the folder can be written");
        let mut broker = Self { child: None, port, folder: folder.to_owned() };
        broker.again().then_some(broker)
    }

    /// Starts it at its port; whether it is there.
    pub fn again(&mut self) -> bool {
        let programs = ["mosquitto", "/usr/sbin/mosquitto"];
        let child = programs.into_iter().find_map(|program| {
            let mut command = Command::new(program);
            command
                .arg("-c")
                .arg(self.folder.join("mosquitto.conf"))
                .stdout(Stdio::null())
                .stderr(Stdio::null());
            command.spawn().ok()
        });
        self.child = child;
        if self.child.is_none() {
            println!("SKIPPED: there is no mosquitto; `./check` installs it where there is apt-get");
            return false;
        }
        let port = self.port;
        let began = Instant::now();
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(began.elapsed() < Duration::from_secs(30), "the broker does not answer");
            std::thread::sleep(Duration::from_millis(50));
        }
        true
    }

    /// Where it listens, on this machine alone.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Ends it as a power cut would.
    pub fn kill(&mut self) {
        if let Some(mut child) = self.child.take() {
            child.kill().expect("it runs");
            child.wait().expect("it has ended");
        }
    }

    /// Sends messages as a probe does: a client of its own, with packets made by hand (MQTT 3.1.1, 3.1 and 3.3).
    pub fn send(&self, messages: &[(&str, &str, bool)]) {
        let mut wire = TcpStream::connect(("127.0.0.1", self.port)).expect("the broker is there");
        let text = |text: &str| [&(text.len() as u16).to_be_bytes()[..], text.as_bytes()].concat();
        let packet = |kind: u8, body: Vec<u8>| {
            assert!(body.len() < 128, "one byte of length is enough here");
            [vec![kind, body.len() as u8], body].concat()
        };
        let hello = [text("MQTT"), vec![4, 2, 0, 60], text(&format!("sender-{}", self.port))].concat();
        wire.write_all(&packet(0x10, hello)).expect("it takes the greeting");
        let mut answer = [0; 4];
        wire.read_exact(&mut answer).expect("it answers");
        assert_eq!(answer, [0x20, 2, 0, 0], "it lets the sender in");
        for (topic, payload, is_retained) in messages {
            let body = [text(topic), payload.as_bytes().to_vec()].concat();
            wire.write_all(&packet(0x30 | u8::from(*is_retained), body)).expect("it takes the message");
        }
        wire.write_all(&[0xE0, 0]).expect("it takes the end");
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        self.kill();
    }
}
