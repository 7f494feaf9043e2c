#!/usr/bin/env python3
"""Tries every mutant of ft-prove and ft-verify that `cargo mutants --list` names, compiled together.

One build for each mutant would take hours. Here a copy of the repository gets all of them at once: the body of a function becomes a
`match` over the number in FULLTRAY_MUTANT, with one arm for each of its mutants and the function as it is for any other
number. Arms that do not compile are taken out (the compiler names them) and counted as unviable. Then the tests run
once for each number; the first panic ends them.

  mutants.py build FOLDER            makes the copy and its tests there (the folder must not exist, or be such a copy)
  mutants.py run FOLDER [FILE...]    tries the mutants of these source files, by default of all; goes on where it stopped
  mutants.py tell FOLDER             counts, and the survivors

cargo-mutants does the listing: https://mutants.rs. The idea is older: Untch, Offutt and Harrold 1993, mutant schemata.
"""

import bisect
import collections
import json
import os
import resource
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PACKAGES = ["ft-prove", "ft-verify"]
# The quickest first: a mutant that one of them catches is not shown to the others.
TESTS = ["refuses", "told", "reasons", "live", "ten_procedures", "sizes"]
TESTS += ["sentences", "certificates", "agrees_with_reference", "exact_by_brute_force"]
CPU_S = 10  # The slowest of the tests takes about a second of processor time; more means that it does not end.
MEMORY = 4 << 30

SWITCH = """
/// The mutant that is tried.
pub(crate) mod mutant {
    use std::sync::atomic::{AtomicU32, Ordering};

    static NUMBER: AtomicU32 = AtomicU32::new(u32::MAX);

    pub(crate) fn number() -> u32 {
        let number = NUMBER.load(Ordering::Relaxed);
        if number == u32::MAX { first() } else { number }
    }

    #[cold]
    fn first() -> u32 {
        let number = std::env::var("FULLTRAY_MUTANT").ok().and_then(|text| text.parse().ok()).unwrap_or(0);
        NUMBER.store(number, Ordering::Relaxed);
        if number != 0 {
            std::panic::set_hook(Box::new(|_| std::process::exit(101)));
        }
        number
    }
}
"""


def packages():
    return [word for package in PACKAGES for word in ("-p", package)]


def listed():
    command = ["cargo", "mutants", "--list", "--json"]
    command += packages()
    return json.loads(subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout)


class Source:
    """A file's text with places given as the list gives them: line and column, in characters, from 1."""

    def __init__(self, path):
        self.text = path.read_text()
        self.lines = [0]
        for line in self.text.splitlines(keepends=True):
            self.lines.append(self.lines[-1] + len(line))

    def span(self, span):
        at = lambda place: self.lines[place["line"] - 1] + place["column"] - 1
        return at(span["start"]), at(span["end"])


def mutated(source, mutants):
    """The text with all of these mutants in it, and where in it each one's arm begins and ends, in bytes."""
    functions = collections.defaultdict(list)
    for mutant in mutants:
        functions[source.span(mutant["function"]["span"])].append(mutant)
    text, done, arms = "", 0, []
    for (begin, end), inside in sorted(functions.items()):
        if begin < done:
            for mutant in inside:
                mutant["state"] = "not tried: inside another function"
            continue
        opens, closes = source.text.index("{", begin), source.text.rindex("}", begin, end)
        text += source.text[done : opens + 1] + " match crate::mutant::number() {\n"
        for mutant in inside:
            first, last = source.span(mutant["span"])
            body = source.text[opens + 1 : first] + mutant["replacement"] + source.text[last:closes]
            start = len(text.encode())
            text += f"{mutant['number']} => {{ {body} }}\n"
            arms.append((start, len(text.encode()), mutant))
        text += f"_ => {{ {source.text[opens + 1 : closes]} }} }} }}"
        done = end
    return text + source.text[done:], arms


def write(folder, mutants):
    arms = {}
    for file in sorted({mutant["file"] for mutant in mutants}):
        here = [m for m in mutants if m["file"] == file and m["state"] == "waiting"]
        text, arms[file] = mutated(Source(ROOT / file), here)
        if file.endswith("/lib.rs"):
            text = add_switch(text)
        (folder / file).write_text(text)
    for package in PACKAGES:
        lib = folder / "crates" / package / "src/lib.rs"
        if "mod mutant" not in lib.read_text():
            lib.write_text(add_switch(lib.read_text()))
    return arms


def add_switch(text):
    # At the end, so that places in the file stay what they are.
    return text + SWITCH


def cargo(folder, *words):
    flags = "--cap-lints=allow"
    settings = {"DEBUG": "0", "DEBUG_ASSERTIONS": "true", "OVERFLOW_CHECKS": "true", "OPT_LEVEL": "2"}
    settings = {f"CARGO_PROFILE_RELEASE_{key}": value for key, value in settings.items()}
    env = {**os.environ, **settings, "RUSTFLAGS": flags, "CARGO_TARGET_DIR": str(folder / "target")}
    return subprocess.run(["cargo", *words], cwd=folder, env=env, capture_output=True, text=True)


def drop_unviable(folder, mutants):
    while True:
        arms = write(folder, mutants)
        words = ["check", "--release", "--message-format=json", *packages(), "--keep-going"]
        done = cargo(folder, *words)
        errors = 0
        for line in done.stdout.splitlines():
            message = json.loads(line).get("message")
            if not message or message.get("level") != "error":
                continue
            code = (message.get("code") or {}).get("code", "?")
            said = [blame(arms, span, code, message["message"]) for span in message["spans"] if span["is_primary"]]
            if not any(said):
                # Where the types of two arms differ, the last arm is told to be wrong, which is the function as it is.
                said = [blame(arms, span, code, message["message"]) for span in message["spans"]]
            errors += sum(said)
        waiting = sum(m["state"] == "waiting" for m in mutants)
        print(f"{errors} do not compile, {waiting} left", flush=True)
        if done.returncode == 0:
            return
        if not errors:
            sys.exit(done.stdout[-5000:] + done.stderr[-3000:])


def blame(arms, span, code, said):
    file = os.path.normpath(span["file_name"])
    if file not in arms:
        return 0
    at = bisect.bisect([start for start, _, _ in arms[file]], span["byte_start"]) - 1
    if at < 0 or span["byte_start"] >= arms[file][at][1] or arms[file][at][2]["state"] != "waiting":
        return 0
    arms[file][at][2]["state"] = f"unviable {code}: {said}"
    return 1


def save(folder, mutants):
    (folder / "mutants.json").write_text(json.dumps(mutants, indent=1))


def build(folder):
    mutants = [{key: value for key, value in mutant.items() if key != "diff"} for mutant in listed()]
    for number, mutant in enumerate(mutants, 1):
        mutant.update(number=number, state="waiting")
    names = subprocess.run(["git", "ls-files"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    for name in names.splitlines():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, folder / name)
    # One unit for a whole crate makes no better code that matters here.
    manifest = folder / "Cargo.toml"
    manifest.write_text(manifest.read_text().replace("codegen-units = 1", "codegen-units = 16"))
    drop_unviable(folder, mutants)
    done = cargo(folder, "test", "--release", *packages(), "--no-run", "--message-format=json")
    if done.returncode:
        sys.exit(done.stderr[-3000:])
    made = [json.loads(line) for line in done.stdout.splitlines()]
    made = [m for m in made if m.get("executable") and m["profile"]["test"]]
    programs = {m["target"]["name"]: m["executable"] for m in made if m["target"]["name"] in TESTS}
    (folder / "programs.json").write_text(json.dumps(programs))
    save(folder, mutants)


def try_one(programs, number, cwd):
    """`caught by` or `does not end in` a test, or `survived`."""

    def limit():
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))

    env = {**os.environ, "FULLTRAY_MUTANT": str(number)}
    for test in TESTS:
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        code = subprocess.run([programs[test], "--test-threads=1"], env=env, cwd=cwd, preexec_fn=limit, **quiet).returncode
        if code:
            return f"{'does not end in' if code in (-9, -24) else 'caught by'} {test}"
    return "survived"


def run(folder, files):
    mutants = json.loads((folder / "mutants.json").read_text())
    programs = json.loads((folder / "programs.json").read_text())
    cwd = folder / "crates/ft-prove"
    if try_one(programs, 0, cwd) != "survived":
        sys.exit("the tests fail without a mutant")
    log = folder / "tried.txt"
    tried = dict(line.split("\t") for line in log.read_text().splitlines()) if log.exists() else {}
    chosen = [m for m in mutants if m["state"] == "waiting" and str(m["number"]) not in tried]
    chosen = [m for file in files or [""] for m in chosen if m["file"].endswith(file)]
    for mutant in chosen:
        said = try_one(programs, mutant["number"], cwd)
        with log.open("a") as out:
            out.write(f"{mutant['number']}\t{said}\n")


def tell(folder):
    mutants = json.loads((folder / "mutants.json").read_text())
    log = dict(line.split("\t") for line in (folder / "tried.txt").read_text().splitlines())
    counts = collections.defaultdict(collections.Counter)
    for mutant in mutants:
        said = log.get(str(mutant["number"]), mutant["state"])
        word = "unviable" if said.startswith("unviable") else said.split(" ")[0]
        counts[mutant["file"]][word] += 1
        if said == "survived":
            print(f"{mutant['number']}: {mutant['name']}")
    words = ["caught", "does", "survived", "unviable", "waiting", "not"]
    print("\n| file | caught | did not end | survived | does not compile | not yet tried | cannot be tried so |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    counts["all"] = sum(counts.values(), collections.Counter())
    for file, count in counts.items():
        print(f"| {file} | " + " | ".join(str(count[word]) for word in words) + " |")


if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in ("build", "run", "tell"):
        sys.exit(__doc__)
    place = Path(sys.argv[2]).resolve()
    {"build": lambda: build(place), "run": lambda: run(place, sys.argv[3:]), "tell": lambda: tell(place)}[sys.argv[1]]()
