//! One of each document, on both papers and in both languages; invented.

use std::path::Path;
use std::sync::OnceLock;

use ft_paper::{Paper, Turn, cards, labels, packet, pdf, poster, tray_map};

/// A file that was made.
pub struct Sample {
    pub name: &'static str,
    pub language: &'static str,
    pub paper: Paper,
    pub bytes: Vec<u8>,
}

impl Sample {
    pub fn file(&self) -> String {
        let paper = if self.paper == Paper::A4 { "a4" } else { "letter" };
        format!("{}-{}-{paper}.pdf", self.name, self.language)
    }

    /// The file on disk.
    pub fn path(&self) -> String {
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(self.file()).to_string_lossy().into_owned()
    }
}

/// All samples, made and written to disk once.
pub fn all() -> &'static [Sample] {
    static SAMPLES: OnceLock<Vec<Sample>> = OnceLock::new();
    SAMPLES.get_or_init(|| {
        let papers = [("en", Paper::A4), ("en", Paper::Letter), ("es", Paper::A4), ("es", Paper::Letter)];
        let samples: Vec<Sample> =
            papers.into_iter().flat_map(|(language, paper)| some(language, paper)).collect();
        for sample in &samples {
            std::fs::write(sample.path(), &sample.bytes).expect("a file for tests");
        }
        samples
    })
}

/// Samples in one language on one paper.
pub fn some(language: &'static str, paper: Paper) -> Vec<Sample> {
    let sample = |(name, bytes)| Sample { name, language, paper, bytes };
    documents(language, paper).into_iter().map(sample).collect()
}

fn documents(language: &str, paper: Paper) -> Vec<(&'static str, Vec<u8>)> {
    let upright = |document| pdf(&document, paper, Turn::Portrait).expect("it passes");
    let ending = if language == "es" { ".es" } else { "" };
    let json = |name: &str| read(&format!("examples/paper/{name}{ending}.json"));
    let packet: packet::Packet = serde_json::from_str(&json("packet")).expect("a packet");
    let labels: labels::Labels = serde_json::from_str(&json("labels")).expect("labels");
    let poster = poster::document(&order(language)).expect("ours");
    vec![
        ("cards", upright(cards::document(&night(language)).expect("ours"))),
        ("tray", upright(tray_map::document(&tray(language), paper).expect("ours"))),
        ("poster", pdf(&poster, paper, Turn::Landscape).expect("it passes")),
        ("packet", upright(packet::document(&packet).expect("ours"))),
        ("labels", labels::sheets(&labels, paper).expect("they fit")),
        ("label", labels::single(&labels).expect("they fit")),
    ]
}

fn read(path: &str) -> String {
    let path = format!("{}/../../{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

fn tray(language: &str) -> ft_draw_tray::Tray {
    let (file, _) = ft_compile::read(&read("demo/twist.machine.kdl"));
    let mut tray = ft_draw_tray::tray(&file.machine.expect("a machine file"), &[], language);
    for (slot, state) in tray.slots_mut().zip(ft_draw_tray::State::ALL) {
        slot.state = state;
    }
    tray
}

fn night(language: &str) -> cards::Cards {
    let step = |machine: &str, minute: usize, title: &str| cards::CardStep {
        machine: machine.into(),
        at: format!("21:{minute:02}"),
        until: format!("21:{:02}", minute + 4),
        title: title.into(),
        says: "Four knobs off, crosswise. Pull the door straight towards you.".into(),
        cautions: if title == "Door off" {
            vec!["The door cracks if it is dropped: both hands.".into()]
        } else {
            vec![]
        },
        place: "counter".into(),
        with: Vec::new(),
    };
    let mut steps: Vec<cards::CardStep> = (0..9)
        .map(|turn| step("twist machine", 5 * turn, if turn == 3 { "Door off" } else { "Rinse" }))
        .collect();
    steps.insert(5, step("slicer", 24, "Blade out"));
    let picture = "<svg viewBox=\"0 0 300 40\"><rect width=\"120\" height=\"20\" fill=\"#dbe9f6\" stroke=\"#333\"/>\
                   <text x=\"4\" y=\"14\">Marisol</text></svg>";
    cards::Cards {
        kitchen: "The kiosk at the end of the pier".into(),
        night: "21:30 – 00:10".into(),
        language: language.into(),
        timeline: Some((picture.into(), "Marisol from 21:30".into())),
        people: vec![cards::Person { name: "Marisol".into(), steps }],
    }
}

fn order(language: &str) -> poster::Poster {
    let mut picture = String::from("<svg viewBox=\"0 0 2000 120\" font-size=\"11\">");
    for column in 0..10 {
        let x = 16 + 196 * column;
        picture.push_str(&format!(
            "<rect x=\"{x}\" y=\"30\" width=\"150\" height=\"34\" rx=\"3\" fill=\"#fff\" stroke=\"#000\"/>\
             <text x=\"{}\" y=\"51\" text-anchor=\"middle\">step {column}</text>\
             <path d=\"M{} 47C{} 47 {} 47 {} 47\" fill=\"none\" stroke=\"#000\" marker-end=\"url(#tip)\"/>",
            x + 75,
            x + 150,
            x + 165,
            x + 180,
            x + 196
        ));
    }
    let reason = |turn: usize| poster::Reason {
        before: format!("step {turn}"),
        after: format!("step {}", turn + 1),
        why: "With the mains on, the beater could start while hands are in the barrel.".into(),
    };
    poster::Poster {
        title: "Two-barrel machine".into(),
        language: language.into(),
        picture: picture + "</svg>",
        columns: (-7.0, 196.0),
        free_percent: 41.6,
        reasons: (0..40).map(reason).collect(),
    }
}
