//! How long a tick takes to the other tablets, and what a tablet that listens costs: `cargo bench -p ft-server`.
//!
//! The site is a process of its own, this program started again, on the demo kitchen; tablets are real connections to
//! it. A tick is a step of the night, sent by one tablet at the time at which the plan has it; its delay is taken from
//! before it is sent until a listener has read it, so syncing it to the disk is in it. Beside it stands the least that
//! anybody could do: a process that appends the same bytes to a file, syncs it, and writes them to as many sockets.
#![allow(clippy::unwrap_used)]

use std::io::{BufRead as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use ft_app::Source;
use ft_server::{Config, serve};
use serde_json::{Value, json};
use tokio::io::{AsyncBufReadExt as _, AsyncReadExt as _, AsyncWriteExt as _, BufReader};
use tokio::net::TcpStream;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// In which folder the started program serves.
const SITE: &str = "FULLTRAY_BENCH_SITE";
/// In which folder the started program does the least.
const LEAST: &str = "FULLTRAY_BENCH_LEAST";
/// How many tablets listen.
const LISTENERS: [usize; 3] = [2, 200, 2000];
/// Ticks for each number of listeners.
const TICKS: usize = 60;
/// Between ticks: a crew is slower.
const PAUSE: Duration = Duration::from_millis(30);
/// What every message of the least begins with, so that a reader knows where one is.
const MARK: &[u8] = b"event: stored\n";

fn main() {
    if let Some(folder) = std::env::var_os(SITE) {
        site(Path::new(&folder));
    } else if let Some(folder) = std::env::var_os(LEAST) {
        run(least(Path::new(&folder)));
    } else if std::env::args().any(|word| word == "--bench") {
        // `cargo test --benches` only asks whether it runs.
        run(measure());
    }
}

fn run(work: impl Future<Output = ()>) {
    tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap().block_on(work);
}

fn site(folder: &Path) {
    let config = Config {
        listen: ([127, 0, 0, 1], 0).into(),
        store: folder.join("record.db").display().to_string(),
        ..Config::default()
    };
    let demo = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo"));
    let read = move |name: Option<&str>| {
        let name = name.unwrap_or("pier.kitchen.kdl");
        let text = std::fs::read_to_string(demo.join(name)).map_err(|error| error.to_string())?;
        Ok(Source { name: name.to_owned(), text })
    };
    let told = serve(config, folder, Box::new(read), |started| {
        println!("ready {} {}", started.address, started.code.as_deref().unwrap_or_default());
    });
    assert!(told.is_ok(), "the site ended");
}

/// Takes messages from its first connection, one a line; appends, syncs, and writes each to all the others.
async fn least(folder: &Path) {
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", 0)).await.unwrap();
    println!("ready http://{}/ none", listener.local_addr().unwrap());
    let mut file = std::fs::File::create(folder.join("least")).unwrap();
    let (first, _) = listener.accept().await.unwrap();
    first.set_nodelay(true).unwrap();
    let mut first = BufReader::new(first);
    let mut others = Vec::new();
    let mut line = Vec::new();
    loop {
        tokio::select! {
            accepted = listener.accept() => {
                let (stream, _) = accepted.unwrap();
                stream.set_nodelay(true).unwrap();
                others.push(stream);
            }
            read = first.read_until(b'\n', &mut line) => {
                if read.unwrap() == 0 {
                    return;
                }
                file.write_all(&line).unwrap();
                file.sync_data().unwrap();
                let message = [MARK, &line].concat();
                for other in &mut others {
                    other.write_all(&message).await.unwrap();
                }
                line.clear();
            }
        }
    }
}

/// A started program; killed when it goes away.
struct Started {
    child: Child,
    address: String,
    code: String,
    _folder: tempfile::TempDir,
}

impl Started {
    fn new(what: &str) -> Self {
        let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .env(what, folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = std::io::BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
        let line = lines.find(|line| line.starts_with("ready ")).unwrap();
        std::thread::spawn(move || lines.for_each(drop));
        let words: Vec<&str> = line.split(' ').collect();
        let address = words[1].trim_start_matches("http://").trim_end_matches('/');
        let address = address.replace("localhost", "127.0.0.1");
        Self { child, address, code: words[2].to_owned(), _folder: folder }
    }

    /// What it holds in memory, bytes.
    fn resident(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse::<f64>().unwrap() * 1024.0
    }

    async fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).await.unwrap();
        stream.set_nodelay(true).unwrap();
        stream
    }
}

impl Drop for Started {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A tablet that sends: one connection that is kept.
struct Tablet {
    stream: BufReader<TcpStream>,
    cookies: String,
}

impl Tablet {
    async fn ask(&mut self, method: &str, path: &str, body: &str) -> (u16, Value) {
        let Self { stream, cookies } = self;
        let length = body.len();
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: tablet\r\nx-fulltray: 1\r\ncookie: {cookies}\r\n\
             content-type: application/json\r\ncontent-length: {length}\r\n\r\n{body}"
        );
        stream.write_all(head.as_bytes()).await.unwrap();
        let (mut status, mut length, mut set) = (0, 0, Vec::new());
        loop {
            let mut line = String::new();
            stream.read_line(&mut line).await.unwrap();
            let line = line.trim_end();
            if line.is_empty() {
                break;
            }
            match line.split_once(": ") {
                None => status = line.split(' ').nth(1).unwrap().parse().unwrap(),
                Some(("content-length", value)) => length = value.parse().unwrap(),
                Some(("set-cookie", value)) => set.push(value.split(';').next().unwrap().to_owned()),
                Some(_) => {}
            }
        }
        if !set.is_empty() {
            *cookies = set.join("; ");
        }
        let mut text = vec![0; length];
        stream.read_exact(&mut text).await.unwrap();
        (status, serde_json::from_slice(&text).unwrap_or(Value::Null))
    }
}

/// Tells when each message arrives.
async fn listen(mut stream: TcpStream, arrived: UnboundedSender<Instant>) {
    let mut kept: Vec<u8> = Vec::new();
    let mut bytes = vec![0; 4096];
    while let Ok(count @ 1..) = stream.read(&mut bytes).await {
        let now = Instant::now();
        kept.extend_from_slice(&bytes[..count]);
        while let Some(at) = kept.windows(MARK.len()).position(|window| window == MARK) {
            kept.drain(..at + MARK.len());
            if arrived.send(now).is_err() {
                return;
            }
        }
        // The beginning of a mark may stand at the end.
        kept.drain(..kept.len().saturating_sub(MARK.len()));
    }
}

/// The delays of one tick, seconds: to each of so many listeners.
async fn all(arrived: &mut UnboundedReceiver<Instant>, listeners: usize, began: Instant) -> Vec<f64> {
    let mut delays = Vec::with_capacity(listeners);
    while delays.len() < listeners {
        let at = tokio::time::timeout(Duration::from_secs(30), arrived.recv()).await;
        delays.push((at.expect("a listener never heard of it").unwrap() - began).as_secs_f64());
    }
    delays
}

fn quantile(sorted: &[f64], share: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * share).round() as usize] * 1000.0
}

/// One row: median and 99th percentile of all delays, milliseconds.
fn row(name: &str, listeners: usize, mut delays: Vec<f64>, memory: Option<f64>) -> [f64; 2] {
    delays.sort_by(f64::total_cmp);
    let both = [0.5, 0.99].map(|share| quantile(&delays, share));
    let memory = memory.map_or_else(String::new, |bytes| format!("{:.1}", bytes / 1024.0));
    println!("{name:<8} {listeners:>10} {:>10.1} {:>10.1} {memory:>18}", both[0], both[1]);
    both
}

async fn measure() {
    println!("{:<8} {:>10} {:>10} {:>10} {:>18}", "", "listeners", "p50 ms", "p99 ms", "KiB per listener");
    let mut ratios = Vec::new();
    for listeners in LISTENERS {
        let ours = of_site(listeners).await;
        let least = of_least(listeners).await;
        ratios.push(format!("{listeners}: {:.1} and {:.1}", ours[0] / least[0], ours[1] / least[1]));
    }
    println!("\nratio of the site to the least, p50 and p99, by listeners: {}", ratios.join("; "));
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!("load of the machine at the end: {}", load.trim());
}

async fn of_least(listeners: usize) -> [f64; 2] {
    let started = Started::new(LEAST);
    let mut first = started.connect().await;
    let (tell, mut arrived) = unbounded_channel();
    for _ in 0..listeners {
        tokio::spawn(listen(started.connect().await, tell.clone()));
    }
    let line = [vec![b'x'; 400], b"\n".to_vec()].concat();
    let mut delays = Vec::new();
    for _ in 0..TICKS {
        tokio::time::sleep(PAUSE).await;
        let began = Instant::now();
        first.write_all(&line).await.unwrap();
        delays.extend(all(&mut arrived, listeners, began).await);
    }
    row("least", listeners, delays, None)
}

async fn of_site(listeners: usize) -> [f64; 2] {
    let started = Started::new(SITE);
    let mut tablet = Tablet { stream: BufReader::new(started.connect().await), cookies: String::new() };
    let lead = json!({ "code": started.code, "name": "Marisol", "pin": "2580", "language": "en" });
    assert_eq!(tablet.ask("POST", "/api/set-up", &lead.to_string()).await.0, 200);
    let (status, opened) = tablet.ask("POST", "/api/run/open", r#"{"procedure":"closing"}"#).await;
    assert_eq!(status, 201, "{opened}");
    let run = opened["run"].as_str().unwrap().to_owned();
    let (_, night) = tablet.ask("GET", "/api/run", "").await;
    let steps = planned(&night);
    let before = started.resident();
    let (tell, mut arrived) = unbounded_channel();
    for _ in 0..listeners {
        let mut stream = started.connect().await;
        let head = format!("GET /api/stream HTTP/1.1\r\nhost: tablet\r\ncookie: {}\r\n\r\n", tablet.cookies);
        stream.write_all(head.as_bytes()).await.unwrap();
        // It listens once the first beat is there.
        assert_ne!(stream.read(&mut [0; 1024]).await.unwrap(), 0);
        tokio::spawn(listen(stream, tell.clone()));
    }
    let mut delays = Vec::new();
    for (order, (machine, event, at_ms)) in steps.into_iter().take(TICKS).enumerate() {
        tokio::time::sleep(PAUSE).await;
        let id = format!("01900000-0000-7000-8000-{order:012x}");
        let event = json!({
            "v": 1, "id": id, "device": "bench", "order": order + 1, "at_ms": at_ms, "zone": "Etc/UTC",
            "person": "Marisol", "run": run, "machine": machine,
            "fact": { "what": "happened", "event": event },
        });
        let body = json!({ "events": [event] }).to_string();
        let began = Instant::now();
        let (status, answer) = tablet.ask("POST", "/api/events", &body).await;
        assert!(status == 200 && answer["refused"] == json!([]), "{answer}");
        delays.extend(all(&mut arrived, listeners, began).await);
    }
    let memory = (started.resident() - before) / listeners as f64;
    row("site", listeners, delays, (listeners >= 100).then_some(memory))
}

/// The steps of the plan in its order: machine, event, and when the plan ends it.
fn planned(night: &Value) -> Vec<(String, String, i64)> {
    let mut steps = Vec::new();
    for row in night["plan"]["rows"].as_array().unwrap() {
        let machine = row["machine"].as_str().unwrap_or_default();
        for event in row["events"].as_array().into_iter().flatten() {
            let at_ms = row["end_ms"].as_i64().or(row["start_ms"].as_i64()).unwrap();
            steps.push((machine.to_owned(), event.as_str().unwrap().to_owned(), at_ms));
        }
    }
    steps
}
