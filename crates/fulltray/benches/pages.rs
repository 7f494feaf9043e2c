//! Every page of a busy kitchen, against the length of its record: `cargo bench -p fulltray --bench pages -- 1 2 4`.
//!
//! A made-up year of the demo kitchen, four machines, is put into a new record, and the program is started on it as a
//! kitchen would start it. Then every page is opened, over HTTP on this machine, signed in as the lead. What is printed
//! is the middle of 11 openings and the worst of them, in milliseconds; a page whose middle is above its bound is marked,
//! and the run ends with 1.

use std::collections::BTreeMap;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use ft_browser::{Caller, Site, root};
use ft_store::Store;
use ft_year::Year;

const NIGHTS: u32 = 365;
const DAY_MS: i64 = 86_400_000;
const TIMES: usize = 11;
/// No page takes longer. Source: the kitchen's own wish, that a touch is answered at once.
const BOUND: Duration = Duration::from_millis(200);
/// The release is asked by displays, over and over.
const BOUND_OF_RELEASE: Duration = Duration::from_millis(20);

/// A page as the table names it, and its path.
type Pages = Vec<(String, String)>;
/// A row of the table: what was opened, how long the middle and the worst opening took.
type Row = (String, (Duration, Duration));

fn main() {
    // Only `cargo bench` says `--bench`: a run of the tests has no minutes for this.
    let words: Vec<String> = std::env::args().skip(1).collect();
    if !words.iter().any(|word| word == "--bench") {
        return;
    }
    let years: Vec<u32> = words.iter().filter_map(|word| word.parse().ok()).collect();
    let years = if years.is_empty() { vec![1, 2, 4] } else { years };
    let mut table: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let (mut order, mut heads, mut is_slow) = (Vec::new(), Vec::new(), false);
    for count in years {
        let (events, rows) = measure(count);
        heads.push(format!("{count} year(s), {events} events"));
        for (name, took) in rows {
            if !order.contains(&name) {
                order.push(name.clone());
            }
            let bound = if name.contains("release") { BOUND_OF_RELEASE } else { BOUND };
            let mark = if name.starts_with("start") || took.0 <= bound { "" } else { " **slow**" };
            is_slow |= !mark.is_empty();
            table.entry(name).or_default().push(format!("{}{mark}", shown(took)));
        }
    }
    println!("| page | {} |", heads.join(" | "));
    println!("| --- |{}", " --- |".repeat(heads.len()));
    for name in order {
        println!("| {name} | {} |", table[&name].join(" | "));
    }
    if is_slow {
        std::process::exit(1);
    }
}

fn measure(years: u32) -> (usize, Vec<Row>) {
    let read = |name: &str| std::fs::read_to_string(root().join("demo").join(name)).expect("a demo file");
    let names = ["shake", "twist", "slicer", "juice"].map(|name| format!("{name}.machine.kdl"));
    let texts = names.clone().map(|name| read(&name));
    let files: Vec<(&str, &str)> =
        names.iter().zip(&texts).map(|(name, text)| (name.as_str(), text.as_str())).collect();
    let site = Site::start_with(env!("CARGO_BIN_EXE_fulltray"), &read("pier.kitchen.kdl"), &files);
    site.set_up_alone("Marisol");
    site.kill();
    let (events, runs) = tell(&site, years);
    let began = Instant::now();
    site.start_again();
    let start = began.elapsed();
    let lead = site.lead();
    let first = |path: &str| {
        let began = Instant::now();
        lead.text(path);
        began.elapsed()
    };
    let opened = first("/release");
    let mut rows = vec![
        ("start of the program".to_owned(), (start, start)),
        ("/release, the first page after a start".to_owned(), (opened, opened)),
    ];
    for (name, path) in pages(&lead, years, &runs) {
        rows.push((name, times(&lead, &path)));
    }
    (events, rows)
}

/// Puts the years into the record, up to now; gives how many events there are, and the ids of the first run and of the last.
fn tell(site: &Site, years: u32) -> (usize, (String, String)) {
    let store =
        Store::open_existing(site.folder().join("record.db").to_str().expect("a path")).expect("the record");
    let now = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_millis() as i64;
    let nights = NIGHTS * years;
    let kitchen = ft_year::Site::demo();
    // The last morning was told ten hours after its midnight: now.
    let mut year = Year::since(&kitchen, 1, now - i64::from(nights) * DAY_MS - 10 * 3_600_000);
    let (mut count, mut runs) = (0, Vec::new());
    for _ in 0..nights {
        let mut night = year.next_night();
        night.retain(|event| event.at_ms <= now);
        count += night.len();
        let opened = night.iter().filter(|event| matches!(event.fact, ft_record::Fact::RunOpened { .. }));
        runs.extend(opened.map(|event| event.id.clone()));
        store.append(night, now).expect("it can be written");
    }
    let ends = (runs.first().cloned().unwrap_or_default(), runs.last().cloned().unwrap_or_default());
    (count, ends)
}

/// Every page of the program that is opened by hand, and what displays ask for.
fn pages(lead: &Caller, years: u32, (oldest, newest): &(String, String)) -> Pages {
    let link = lead.post("/api/inspect", &serde_json::json!({ "days": 1 }));
    let token = link["path"].as_str().expect("a path").rsplit('/').next().expect("a token").to_owned();
    let vessel = "shake freezer/reservoir";
    let lot = |day: u32| format!("L{day}-{}", vessel.replace('/', " "));
    let mut pages = Pages::new();
    for route in ft_server::gate::all().filter(|route| route.method == "GET" && route.page) {
        let path = route.path.replace("{machine}", "shake freezer").replace("{token}", &token);
        match route.path {
            "/set-up" => {}
            "/record" => {
                pages.push((format!("{path}, the last run"), format!("{path}?run={newest}")));
                pages.push((format!("{path}, the first run"), format!("{path}?run={oldest}")));
            }
            "/lots/lot/{lot}" => {
                for (what, day) in [("an old lot", 11), ("a new lot", NIGHTS * years - 3)] {
                    pages.push((format!("{}, {what}", route.path), path.replace("{lot}", &lot(day))));
                }
            }
            "/lots/glass" => {
                pages.push((route.path.to_owned(), format!("{path}?place={vessel}&at=2026-06-01T20:30")));
            }
            _ => pages.push((route.path.to_owned(), path)),
        }
    }
    for path in ["/api/run", "/api/release", "/api/lots"] {
        pages.push((path.to_owned(), path.to_owned()));
    }
    pages.into_iter().map(|(name, path)| (name, path.replace(' ', "%20"))).collect()
}

fn times(lead: &Caller, path: &str) -> (Duration, Duration) {
    let mut took: Vec<Duration> = (0..TIMES)
        .map(|_| {
            let began = Instant::now();
            std::hint::black_box(lead.text(path));
            began.elapsed()
        })
        .collect();
    took.sort_unstable();
    (took[TIMES / 2], took[TIMES - 1])
}

fn shown((middle, worst): (Duration, Duration)) -> String {
    let ms = |took: Duration| took.as_secs_f64() * 1000.0;
    if middle == worst {
        format!("{:.0}", ms(middle))
    } else {
        format!("{:.1} (worst {:.1})", ms(middle), ms(worst))
    }
}
