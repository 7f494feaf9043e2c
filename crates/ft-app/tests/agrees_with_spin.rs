//! SPIN, run on the exported Promela of the demo kitchen, gives the same verdicts as the prover.
//!
//! Every broken machine is refereed, whatever it takes. Of the good ones, some are too large for SPIN: each of these
//! is named, and counts as not refereed, never as agreement. By default the plain variants have 20 s each;
//! `FULLTRAY_FULL=1` gives every variant 60 s. Needs Debian's packages `spin` and `gcc`, and says that it skips without.
//! SPIN: G. J. Holzmann, The SPIN Model Checker, 2003.

use std::path::{Path, PathBuf};

use ft_app::{Choice, Prepared, Source, Trouble, prepare};
use ft_form::promela::Ask;
use ft_prove::Limits;
use ft_testkit::spin::{self, Search};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo")
}

fn is_full() -> bool {
    std::env::var_os("FULLTRAY_FULL").is_some_and(|value| value == "1")
}

/// The procedures of a machine file, each in the variants that are asked for; none where it has a problem.
fn forms(path: &Path, fitted: Option<&[String]>, due: Option<bool>) -> Vec<Prepared> {
    let text = std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let source = Source { name: path.display().to_string(), text };
    let mut all = Vec::new();
    for procedure in ["closing", "opening"] {
        let choice = Choice {
            procedure: Some(procedure.to_owned()),
            fitted: fitted.map(<[String]>::to_vec),
            due,
            ..Choice::default()
        };
        match prepare(&source, &choice) {
            Ok(forms) => all.extend(forms.prepared),
            // It lacks this procedure, or has a planted problem; other tests ask which.
            Err(Trouble::Choice(..) | Trouble::Problems(_)) => {}
            Err(other) => panic!("{}: {other:?}", source.name),
        }
    }
    all
}

fn machines(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    files.retain(|file| file.to_string_lossy().ends_with(".machine.kdl"));
    files.sort();
    files
}

/// Whether SPIN came to an answer; if it did, it is the prover's.
fn is_refereed(file: &Path, prepared: &Prepared, seconds: u32, tag: &str) -> bool {
    let name = format!("{}, {}", file.file_name().unwrap_or_default().to_string_lossy(), prepared.title);
    let verdict = ft_prove::check(&prepared.form, &Limits::default());
    let said = spin::ask(&prepared.form, Ask::All, Search::Sparing, seconds, tag)
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    if !said.is_finished {
        println!(
            "NOT REFEREED: {name}: SPIN came to no end in {seconds} s and 3 GB; {} here",
            verdict.text()
        );
        return false;
    }
    let theirs = if said.is_flawed { "flaw" } else { "proved" };
    assert_eq!(verdict.text(), theirs, "{name}: SPIN disagrees");
    println!("{name}: {theirs}, {} states by SPIN in {} s", said.states, said.search_s);
    true
}

#[test]
fn every_broken_machine_is_refereed() {
    if !spin::is_there() {
        println!("SKIPPED: spin or gcc is not installed, so no verdict was refereed");
        return;
    }
    let mut flaws = 0;
    for (number, file) in machines(&demo().join("broken")).iter().enumerate() {
        for (variant, prepared) in forms(file, None, None).iter().enumerate() {
            // Those that are broken in one procedure may be sound, and large, in the other.
            let is_flawed = ft_prove::check(&prepared.form, &Limits::default()).text() == "flaw";
            let is_refereed = is_refereed(file, prepared, 60, &format!("broken-{number}-{variant}"));
            assert!(is_refereed || !is_flawed, "{}: a flaw that SPIN did not find", file.display());
            flaws += usize::from(is_flawed);
        }
    }
    assert!(flaws >= 15, "only {flaws} broken machines show a flaw");
}

#[test]
fn demo_procedures_are_refereed_where_spin_comes_to_an_end() {
    if !spin::is_there() {
        println!("SKIPPED: spin or gcc is not installed, so no verdict was refereed");
        return;
    }
    let (fitted, due, seconds): (Option<&[String]>, _, _) =
        if is_full() { (None, None, 60) } else { (Some(&[]), Some(false), 20) };
    let (mut refereed, mut asked) = (0, 0);
    for (number, file) in machines(&demo()).iter().enumerate() {
        for (variant, prepared) in forms(file, fitted, due).iter().enumerate() {
            asked += 1;
            refereed +=
                usize::from(is_refereed(file, prepared, seconds, &format!("demo-{number}-{variant}")));
        }
    }
    let which = if is_full() { "all variants" } else { "plain variants; FULLTRAY_FULL=1 asks for all" };
    println!("SPIN refereed {refereed} of {asked} demo procedures ({which})");
    assert!(refereed > 0, "SPIN came to an end with none of the demo procedures");
}
