//! A full disk and one that may only be read: told in words, and nothing that was acknowledged is lost.
#![allow(clippy::unwrap_used)]

mod common;

use std::path::Path;
use std::process::Command;

use common::note;
use ft_store::{Store, Trouble};

/// A file system of its own in memory; gone when dropped.
struct Mount(tempfile::TempDir);

impl Mount {
    fn new(size: &str) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(folder.path())
            .output();
        if mounted.is_ok_and(|output| output.status.success()) {
            return Some(Self(folder));
        }
        eprintln!("SKIPPED: no file system can be mounted here (root may), so no disk was full or read-only");
        None
    }

    fn again(&self, options: &str) {
        let status = Command::new("mount").args(["-o", options]).arg(self.0.path()).status().unwrap();
        assert!(status.success());
    }

    fn place(&self) -> String {
        self.0.path().join("record.db").display().to_string()
    }
}

impl Drop for Mount {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

fn fill(path: &Path) {
    // As much as fits; the rest is refused, which is the point.
    let _ = std::fs::write(path, vec![0; 16 << 20]);
}

#[test]
fn a_full_disk() {
    let Some(mount) = Mount::new("2m") else { return };
    let store = Store::open(&mount.place()).unwrap();
    let mut acknowledged = 0;
    let error = loop {
        match store.append((1..=20).map(|more| note("a", acknowledged + more)).collect(), 1) {
            Ok(_) => acknowledged += 20,
            Err(error) => break error,
        }
        assert!(acknowledged < 100_000, "the disk never filled");
    };
    assert_eq!((error.trouble, error.trouble.code()), (Trouble::Full, "S0001"), "{error}");
    assert!(acknowledged >= 100);
    assert_eq!(store.verify(None).unwrap().events, acknowledged, "readable while full, and nothing half");
    mount.again("remount,size=8m");
    store.append(vec![note("a", acknowledged + 1)], 1).unwrap();
    drop(store);
    let store = Store::open(&mount.place()).unwrap();
    let verified = store.verify(None).unwrap();
    assert_eq!((verified.events, verified.broken), (acknowledged + 1, None));
    fill(&mount.0.path().join("more"));
    let backup = store.backup(&mount.0.path().join("backup.db")).unwrap_err();
    assert_eq!(backup.trouble, Trouble::Full, "{backup}");
    assert!(!mount.0.path().join("backup.db").exists() && !mount.0.path().join("backup.db.part").exists());
}

#[test]
fn a_disk_that_is_full_from_the_beginning() {
    let Some(mount) = Mount::new("64k") else { return };
    fill(&mount.0.path().join("other"));
    let error = Store::open(&mount.place()).err().unwrap();
    assert_eq!(error.trouble, Trouble::Full, "{error}");
}

#[test]
fn a_disk_that_may_only_be_read() {
    let Some(mount) = Mount::new("8m") else { return };
    let store = Store::open(&mount.place()).unwrap();
    store.append((1..=50).map(|order| note("a", order)).collect(), 1).unwrap();
    drop(store);
    mount.again("remount,ro");
    let error =
        Store::open(&mount.place()).and_then(|store| store.append(vec![note("a", 51)], 1)).unwrap_err();
    assert_eq!((error.trouble, error.trouble.code()), (Trouble::ReadOnly, "S0002"), "{error}");
    let new = mount.0.path().join("new.db").display().to_string();
    let error = Store::open(&new).err().unwrap();
    assert!(matches!(error.trouble, Trouble::ReadOnly | Trouble::NoSuch), "{error}");
    mount.again("remount,rw");
    let store = Store::open(&mount.place()).unwrap();
    store.append(vec![note("a", 51)], 1).unwrap();
    let verified = store.verify(None).unwrap();
    assert_eq!((verified.events, verified.broken), (51, None));
}
