//! A real broker for probes, which can be killed and started again.

use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long the broker may take to answer.
const PATIENCE: Duration = Duration::from_secs(30);

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
            assert!(began.elapsed() < PATIENCE, "the broker does not answer");
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
        let text = |text: &str| [&(text.len() as u16).to_be_bytes()[..], text.as_bytes()].concat();
        let packet = |kind: u8, body: Vec<u8>| {
            assert!(body.len() < 128, "one byte of length is enough here");
            [vec![kind, body.len() as u8], body].concat()
        };
        let hello = [text("MQTT"), vec![4, 2, 0, 60], text(&format!("sender-{}", self.port))].concat();
        let hello = packet(0x10, hello);
        let began = Instant::now();
        // A broker that has just started may hang up on the first who come.
        let mut wire = loop {
            match self.greeted(&hello) {
                Ok(wire) => break wire,
                Err(_) if began.elapsed() < PATIENCE => std::thread::sleep(Duration::from_millis(50)),
                Err(error) => panic!("the broker does not let the sender in: {error}"),
            }
        };
        for (topic, payload, is_retained) in messages {
            let body = [text(topic), payload.as_bytes().to_vec()].concat();
            wire.write_all(&packet(0x30 | u8::from(*is_retained), body)).expect("it takes the message");
        }
        wire.write_all(&[0xE0, 0]).expect("it takes the end");
        // The broker hangs up once it has read everything; whoever hangs up first may lose what was sent last.
        let mut rest = [0; 4];
        while wire.read(&mut rest).is_ok_and(|bytes| bytes > 0) {}
    }

    /// A connection that the broker has taken.
    fn greeted(&self, hello: &[u8]) -> std::io::Result<TcpStream> {
        let mut wire = TcpStream::connect(("127.0.0.1", self.port))?;
        wire.set_nodelay(true)?;
        wire.write_all(hello)?;
        let mut answer = [0; 4];
        wire.read_exact(&mut answer)?;
        assert_eq!(answer, [0x20, 2, 0, 0], "the broker lets the sender in");
        Ok(wire)
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        self.kill();
    }
}
