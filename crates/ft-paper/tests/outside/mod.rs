//! Programs of other people that read our files.

use std::path::Path;
use std::process::Command;

use super::samples::Sample;

/// What a program prints; `None`, said aloud, where it is not installed.
fn run(program: &str, args: &[&str]) -> Option<String> {
    match Command::new(program).args(args).output() {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).into_owned()),
        Err(error) => {
            println!("SKIPPED: {program} cannot be run ({error}), so no page was read with it");
            None
        }
    }
}

/// The text in the order of the file.
pub fn text(sample: &Sample) -> Option<String> {
    run("pdftotext", &["-raw", &sample.path(), "-"])
}

/// A font in a file.
#[derive(Debug)]
pub struct Font {
    pub embedded: bool,
    pub subset: bool,
    pub unicode: bool,
}

pub fn fonts(sample: &Sample) -> Option<Vec<Font>> {
    let listed = run("pdffonts", &[&sample.path()])?;
    let fonts: Vec<Font> = listed
        .lines()
        .skip(2)
        .map(|line| {
            let words: Vec<&str> = line.split_whitespace().rev().collect();
            // From the end: generation, object, unicode, subset, embedded.
            Font { unicode: words[2] == "yes", subset: words[3] == "yes", embedded: words[4] == "yes" }
        })
        .collect();
    assert!(!fonts.is_empty(), "{}: {listed}", sample.file());
    Some(fonts)
}

/// How many pages, and the size of the first, in points.
pub fn pages(sample: &Sample) -> Option<(usize, (f64, f64))> {
    let listed = run("pdfinfo", &[&sample.path()])?;
    let of = |name: &str| {
        let line = listed.lines().find_map(|line| line.strip_prefix(name));
        line.unwrap_or_else(|| panic!("no {name} in {listed}")).trim().to_owned()
    };
    let size = of("Page size:");
    let numbers: Vec<f64> = size.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    Some((of("Pages:").parse().expect("a number"), (numbers[0], numbers[1])))
}

/// What a screen reader finds.
pub struct Structure {
    pub language: String,
    pub title: String,
    pub marked: bool,
    pub show_title: bool,
    pub ua_part: String,
    pub kinds: Vec<String>,
    pub untitled_figures: usize,
}

const STRUCTURE: &str = r#"
import sys
try:
    import pikepdf
except ImportError:
    print("absent"); sys.exit()
pdf = pikepdf.open(sys.argv[1])
root = pdf.Root
kinds, figures = set(), 0
def walk(node):
    global figures
    if isinstance(node, pikepdf.Array):
        for one in node: walk(one)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            kinds.add(str(node.S)[1:])
            if str(node.S) == "/Figure" and not str(node.get("/Alt", "")): figures += 1
        if "/K" in node: walk(node.K)
walk(root.StructTreeRoot)
with pdf.open_metadata() as meta:
    part, title = meta.get("pdfuaid:part", ""), meta.get("dc:title", "")
print(root.get("/Lang", ""), bool(root.MarkInfo.Marked), bool(root.ViewerPreferences.DisplayDocTitle), part,
      ",".join(sorted(kinds)), figures, sep="\n")
print(title)
"#;

pub fn structure(sample: &Sample) -> Option<Structure> {
    let python = std::env::var("FULLTRAY_PYTHON").unwrap_or_else(|_| "python3".into());
    let told = run(&python, &["-c", STRUCTURE, &sample.path()])?;
    let lines: Vec<&str> = told.lines().collect();
    if lines.first() == Some(&"absent") {
        println!("SKIPPED: Python has no pikepdf, so no structure was read");
        return None;
    }
    let [language, marked, show_title, part, kinds, figures, title] = lines[..] else {
        panic!("{}: {told}", sample.file())
    };
    Some(Structure {
        language: language.into(),
        title: title.into(),
        marked: marked == "True",
        show_title: show_title == "True",
        ua_part: part.into(),
        kinds: kinds.split(',').map(str::to_owned).collect(),
        untitled_figures: figures.parse().expect("a number"),
    })
}

/// What the QR codes of all pages say, sorted.
pub fn codes(sample: &Sample) -> Option<Vec<String>> {
    let stem = sample.path().replace(".pdf", "-code");
    run("pdftoppm", &["-r", "200", "-gray", "-png", &sample.path(), &stem])?;
    let folder = Path::new(&stem).parent().expect("it has one");
    let name = Path::new(&stem).file_name().expect("it has one").to_string_lossy().into_owned();
    let mut found = Vec::new();
    for file in std::fs::read_dir(folder).expect("it is there").flatten() {
        if file.file_name().to_string_lossy().starts_with(&name) {
            let path = file.path().to_string_lossy().into_owned();
            found.extend(run("zbarimg", &["-q", "--raw", &path])?.lines().map(str::to_owned));
            std::fs::remove_file(path).expect("ours");
        }
    }
    found.sort();
    Some(found)
}
