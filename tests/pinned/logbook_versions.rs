//! Logbooks of every version, read with this one.

use std::path::{Path, PathBuf};

use loopcrest::logbook::{ExportFormat, Logbook};

use crate::support::entries::{filled, memory, written_to};

pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/record")
}

/// Writes the files of this version where there are none yet; never over any.
fn store(version: &Path) {
    if version.exists() || std::env::var_os("LOOPCREST_STORE").is_none() {
        return;
    }
    std::fs::create_dir_all(version).unwrap();
    let logbook = filled(written_to(Logbook::create(&version.join("logbook.sqlite")).unwrap()));
    logbook.export(&version.join("logbook.jsonl"), ExportFormat::JsonLines).unwrap();
}

#[test]
fn pinned_version_1_is_read_for_ever() {
    let version = folder().join("v1");
    store(&version);
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    std::fs::copy(version.join("logbook.sqlite"), &file).unwrap();
    let export = std::fs::read_to_string(version.join("logbook.jsonl")).unwrap();
    for logbook in [Logbook::open_read_only(&file).unwrap(), Logbook::open(&file).unwrap()] {
        assert!(logbook.verify(None).unwrap().holds());
        let again = place.path().join("again.jsonl");
        logbook.export(&again, ExportFormat::JsonLines).unwrap();
        assert_eq!(std::fs::read_to_string(&again).unwrap(), export);
        std::fs::remove_file(again).unwrap();
        let rows = logbook.visits().unwrap();
        assert_eq!(
            rows.iter().map(|row| (row.number, row.readings)).collect::<Vec<_>>(),
            [(3, 2), (8, 2)]
        );
        assert_eq!(logbook.visit(3).unwrap().readings().count(), 2);
    }
    let new = place.path().join("new.sqlite");
    let imported = Logbook::import(&new, &version.join("logbook.jsonl")).unwrap();
    let found = Logbook::open(&file).unwrap();
    assert_eq!(imported.head().unwrap(), found.head().unwrap());
    // A logbook of the past is written to by the program of today.
    let mut logbook = written_to(Logbook::open(&file).unwrap());
    use loopcrest::procedure::Journal;
    logbook.append(Some(8), None, crate::support::entries::closing(true)).unwrap();
    assert!(logbook.verify(None).unwrap().holds());
}

/// The same entries at the same time by the same person give the same bytes.
#[test]
fn pinned_the_same_entries_give_the_same_hashes() {
    let (first, second) = (filled(memory()), filled(memory()));
    assert_eq!(first.head().unwrap(), second.head().unwrap());
}
