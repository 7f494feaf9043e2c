//! Every file that comes with Fulltray is read without a problem, and no file is forgotten.

use ft_diag::{Colour, Lines, render};
use ft_rules::{SHIPPED, read, shipped};

#[test]
fn every_file_is_read_without_a_problem() {
    for file in SHIPPED {
        let read = read(file.text);
        let told = render(&read.problems, file.file, &Lines::new(file.text), Colour::Never);
        assert!(read.problems.is_empty(), "{told}");
        let set = read.set.expect("a file without problems holds a set");
        assert!(file.file.starts_with(&set.name), "{} holds {}", file.file, set.name);
        assert!(
            set.notes.iter().any(|note| note.contains("not law")),
            "{} does not say that it is not law",
            set.name
        );
    }
    assert_eq!(shipped().len(), SHIPPED.len());
}

#[test]
fn no_file_is_forgotten() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../rules");
    let mut on_disk: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder of the rule sets is in the repository")
        .map(|entry| entry.expect("its entries can be read").file_name().to_string_lossy().into_owned())
        .collect();
    on_disk.sort();
    let mut listed: Vec<&str> = SHIPPED.iter().map(|file| file.file).collect();
    listed.sort_unstable();
    assert_eq!(on_disk, listed);
}
