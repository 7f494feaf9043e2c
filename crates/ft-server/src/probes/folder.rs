//! The folder that loggers write to: looked at again and again, because a logger's share on the network tells nobody of
//! changes. What was read is remembered by its length; a file that was written anew is read anew.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;
use std::sync::mpsc::SyncSender;
use std::time::{Duration, SystemTime};

use ft_probe::{Probe, Rows, Source, fits};

use super::Input;

/// So much of a file is read at once, bytes.
const PIECE: usize = 64 * 1024;
/// By so many of its first bytes a file is known again.
const HEAD: usize = 256;
/// A file that nobody has written to for so long has no row that is young enough: it is left alone.
const OLD: Duration = Duration::from_secs(2 * 24 * 3600);

/// A file that is being read.
struct Reading {
    head: Vec<u8>,
    offset: u64,
    rows: Rows,
}

/// Looks, reads on, waits, for as long as somebody follows.
pub fn look(folder: &Path, look_s: f64, probes: &[Probe], tell: &SyncSender<Input>) {
    let mut files: BTreeMap<(usize, String), Reading> = BTreeMap::new();
    let mut last_error = None;
    loop {
        let error = names(folder).map(|names| {
            files.retain(|(_, name), _| names.contains(name));
            for (index, probe) in probes.iter().enumerate() {
                let Source::File(columns) = &probe.source else { continue };
                let own: Vec<&String> = names.iter().filter(|name| fits(&columns.file, name)).collect();
                tell.send(Input::Files(index, own.len())).ok()?;
                for name in own {
                    let path = folder.join(name);
                    let key = (index, name.clone());
                    match read_on(&path, probe, files.remove(&key), &mut |rows| {
                        tell.send(Input::Rows(index, rows)).is_ok()
                    }) {
                        Ok(Some(reading)) => drop(files.insert(key, reading)),
                        Ok(None) => {}
                        Err(error) => eprintln!("probes: {}: {error}", path.display()),
                    }
                }
            }
            Some(())
        });
        let error = match error {
            Ok(Some(())) => None,
            // Nobody follows any more.
            Ok(None) => return,
            Err(error) => Some(error.to_string()),
        };
        if error != last_error {
            match &error {
                Some(error) => println!("probes: {} cannot be looked into: {error}", folder.display()),
                None => println!("probes: {} can be looked into again", folder.display()),
            }
            last_error.clone_from(&error);
        }
        if tell.send(Input::Folder(error)).is_err() {
            return;
        }
        std::thread::sleep(Duration::from_secs_f64(look_s));
    }
}

/// The names of the folder's files, in their order: what changes in them is mostly a day.
fn names(folder: &Path) -> std::io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let is_file = entry.file_type()?.is_file() || entry.path().is_file();
        if let (true, Ok(name)) = (is_file, entry.file_name().into_string()) {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}

/// Reads what is new in a file; `None` where it is too old to be looked at. `hand_on` says whether to go on.
fn read_on(
    path: &Path,
    probe: &Probe,
    known: Option<Reading>,
    hand_on: &mut dyn FnMut(Vec<ft_probe::Arrival>) -> bool,
) -> std::io::Result<Option<Reading>> {
    let mut file = File::open(path)?;
    let about = file.metadata()?;
    let is_old =
        about.modified().is_ok_and(|at| SystemTime::now().duration_since(at).is_ok_and(|age| OLD < age));
    if known.is_none() && is_old {
        return Ok(None);
    }
    let mut head = vec![0; HEAD];
    let read = read_fully(&mut file, &mut head)?;
    head.truncate(read);
    // It is the same file where it is not shorter than what was read of it, and begins in the same way.
    let is_same = |known: &Reading| known.offset <= about.len() && head.starts_with(&known.head);
    let fresh = || Rows::of(probe).map(|rows| Reading { head: Vec::new(), offset: 0, rows });
    let Some(mut reading) = known.filter(is_same).or_else(fresh) else { return Ok(None) };
    file.seek(SeekFrom::Start(reading.offset))?;
    let mut piece = vec![0; PIECE];
    loop {
        let read = read_fully(&mut file, &mut piece)?;
        if read == 0 {
            break;
        }
        reading.offset += read as u64;
        let rows = reading.rows.take(probe, &piece[..read]);
        if !rows.is_empty() && !hand_on(rows) {
            break;
        }
    }
    // Only what was read is compared with later: the rest of the head may still be written.
    head.truncate(usize::try_from(reading.offset).unwrap_or(HEAD));
    reading.head = head;
    Ok(Some(reading))
}

fn read_fully(file: &mut File, into: &mut [u8]) -> std::io::Result<usize> {
    let mut read = 0;
    while read < into.len() {
        match file.read(&mut into[read..])? {
            0 => break,
            more => read += more,
        }
    }
    Ok(read)
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use super::*;

    fn probe() -> Probe {
        let text = "probes { folder \"f\"; probe \"p\" { unit \"°C\"; every \"1 min\"; \
                    file \"a*.csv\" time=\"t\" value=\"v\" zone=\"UTC\"; }; }";
        ft_probe::read(text).mapping.probes.into_iter().next().expect("one probe")
    }

    fn values(path: &Path, probe: &Probe, known: Option<Reading>) -> (Option<Reading>, Vec<f64>) {
        let mut values = Vec::new();
        let reading = read_on(path, probe, known, &mut |rows| {
            values.extend(rows.into_iter().map(|row| row.expect("a reading").value));
            true
        });
        (reading.expect("it can be read"), values)
    }

    /// Half a line, its rest, a file that is written anew, one that is cut off, one that is long.
    #[test]
    fn a_file_is_read_on_and_read_anew() {
        let (folder, probe) = (tempfile::tempdir().expect("a folder"), probe());
        let path = folder.path().join("a.csv");
        let add = |text: &str| {
            let mut file = std::fs::OpenOptions::new().create(true).append(true).open(&path).expect("a file");
            file.write_all(text.as_bytes()).expect("it can be written");
        };
        add("t,v\n2026-06-01 10:00,1\n2026-06-01 10:0");
        let (known, seen) = values(&path, &probe, None);
        assert_eq!(seen, [1.0]);
        let (known, seen) = values(&path, &probe, known);
        assert!(seen.is_empty(), "half a line waits");
        add("1,2\n");
        let (known, seen) = values(&path, &probe, known);
        assert_eq!(seen, [2.0]);
        std::fs::write(&path, "t,v\n2026-06-02 10:00,3\n2026-06-02 10:01,4\n2026-06-02 10:02,5\n")
            .expect("anew");
        let (known, seen) = values(&path, &probe, known);
        assert_eq!(seen, [3.0, 4.0, 5.0], "longer than before, and another file");
        std::fs::write(&path, "t,v\n2026-06-02 11:00,6\n").expect("shorter");
        let (known, seen) = values(&path, &probe, known);
        assert_eq!(seen, [6.0]);
        for minute in 0..9000 {
            add(&format!("2026-06-{:02} {:02}:{:02},7\n", 3 + minute / 1440, minute / 60 % 24, minute % 60));
        }
        assert_eq!(values(&path, &probe, known).1.len(), 9000, "in pieces");
        let names = names(folder.path()).expect("a folder");
        assert_eq!(names, ["a.csv"]);
        assert!(super::names(&folder.path().join("none")).is_err());
    }
}
