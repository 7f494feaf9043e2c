//! SPIN (Debian's packages `spin` and `gcc`) as a referee, run in a folder of its own.
//!
//! G. J. Holzmann, The SPIN Model Checker, 2003. The model comes from `ft_form::promela`.

use std::path::{Path, PathBuf};
use std::process::Command;

use ft_form::Form;
use ft_form::promela::{self, Ask};

/// How the verifier is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Search {
    /// Depth first with partial-order reduction, optimised: SPIN at its fastest.
    Fastest,
    /// As before, with states packed, and no more than 3 GB: for what may not fit otherwise.
    Sparing,
    /// Breadth first: the first story is a shortest one.
    BreadthFirst,
}

/// What SPIN said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    /// Whether an assertion can fail.
    pub is_flawed: bool,
    /// Depth at which the first failure was met; with [`Search::BreadthFirst`] a shortest one.
    pub depth: usize,
    /// States stored.
    pub states: f64,
    /// Seconds of the search alone, as the verifier reports them (to 10 ms).
    pub search_s: f64,
    /// Seconds that making the verifier took.
    pub compile_s: f64,
    /// Whether everything was searched, or a failure found, before the time was up.
    pub is_finished: bool,
}

/// Whether SPIN and a C compiler can be run.
pub fn is_there() -> bool {
    let runs = |name: &str, flag: &str| Command::new(name).arg(flag).output().is_ok();
    runs("spin", "-V") && runs("gcc", "--version")
}

/// A folder that is removed when this is dropped.
struct Folder(PathBuf);

impl Folder {
    fn new(tag: &str) -> std::io::Result<Self> {
        let path = std::env::temp_dir().join(format!("fulltray-spin-{}-{tag}", std::process::id()));
        std::fs::create_dir_all(&path)?;
        Ok(Self(path))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A folder that stays behind harms nobody.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Asks SPIN; `tag` keeps the folders of questions asked at one time apart.
///
/// # Errors
/// What could not be run or read, as a sentence.
pub fn ask(form: &Form, question: Ask, search: Search, seconds: u32, tag: &str) -> Result<Said, String> {
    let folder = Folder::new(tag).map_err(|error| error.to_string())?;
    let model = folder.0.join("model.pml");
    std::fs::write(&model, promela::print(form, question)).map_err(|error| error.to_string())?;
    run(&folder.0, "spin", &["-a", "model.pml"])?;
    let flags: &[&str] = match search {
        Search::Fastest => &["-O2", "-DSAFETY", "-DVECTORSZ=8192", "-DMEMLIM=8000", "-o", "pan", "pan.c"],
        Search::Sparing => {
            &["-O1", "-DSAFETY", "-DCOLLAPSE", "-DVECTORSZ=8192", "-DMEMLIM=3000", "-o", "pan", "pan.c"]
        }
        Search::BreadthFirst => {
            &["-O0", "-DSAFETY", "-DBFS", "-DVECTORSZ=8192", "-DMEMLIM=8000", "-w", "-o", "pan", "pan.c"]
        }
    };
    let begin = std::time::Instant::now();
    run(&folder.0, "gcc", flags)?;
    let compile_s = begin.elapsed().as_secs_f64();
    let limit = seconds.to_string();
    // `-b` is not given: the bound on depth is only a size, 100,000 is more than any procedure has events.
    let said = run(&folder.0, "timeout", &[&limit, "./pan", "-m100000", "-w24"]);
    let said = said.unwrap_or_else(|text| text);
    Ok(Said { compile_s, ..read(&said) })
}

fn run(folder: &Path, program: &str, arguments: &[&str]) -> Result<String, String> {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .output()
        .map_err(|error| format!("{program}: {error}"))?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    if output.status.success() {
        Ok(text)
    } else {
        Err(format!("{text}{}", String::from_utf8_lossy(&output.stderr)))
    }
}

fn gave_up(text: &str) -> bool {
    ["Search not completed", "reached -DMEMLIM", "out of memory", "max search depth too small"]
        .iter()
        .any(|said| text.contains(said))
}

/// Reads the verifier's report.
fn read(text: &str) -> Said {
    let number = |line: &str| line.split_whitespace().find_map(|word| word.parse::<f64>().ok());
    let after = |key: &str| {
        let line = text.lines().find(|line| line.contains(key))?;
        line[line.find(key)? + key.len()..]
            .split_whitespace()
            .find_map(|word| word.trim_end_matches([')', ',', ':']).parse::<f64>().ok())
    };
    let is_flawed = text.contains("assertion violated");
    let states = text.lines().find(|line| line.contains("states, stored")).and_then(number);
    Said {
        is_flawed,
        depth: after("at depth").unwrap_or(0.0) as usize,
        states: states.unwrap_or(0.0),
        search_s: after("elapsed time").unwrap_or(0.0),
        compile_s: 0.0,
        // Without memory, or beyond its depth, the verifier reports no errors as well; it then says that it gave up.
        is_finished: is_flawed || (text.contains("errors: 0") && !gave_up(text)),
    }
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn no_errors_are_an_answer_only_where_all_was_searched() {
        let whole = "State-vector 28 byte, depth reached 9, errors: 0\n       12 states, stored\n";
        assert!(read(whole).is_finished);
        assert!(
            !read(&format!("pan: reached -DMEMLIM bound\nWarning: Search not completed\n{whole}"))
                .is_finished
        );
        assert!(!read(&format!("error: max search depth too small\n{whole}")).is_finished);
        let flawed = "pan:1: assertion violated 0 (at depth 5)\nWarning: Search not completed\nerrors: 1\n";
        assert!(read(flawed).is_finished && read(flawed).is_flawed);
        assert!(!read("").is_finished);
    }
}
