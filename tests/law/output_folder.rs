//! A folder of results appears whole or not at all, and nothing is written over unasked.

use std::path::Path;

use loopcrest::report::{Existing, OutputFolder};

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn law_a_folder_appears_only_when_finished() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    let folder = OutputFolder::begin(&target, Existing::Keep).unwrap();
    folder.add("a.txt", b"first").unwrap();
    assert!(!target.exists());
    folder.add("b.txt", b"second").unwrap();
    assert_eq!(folder.finish().unwrap(), target);
    assert_eq!(names(&target), ["a.txt", "b.txt"]);
    assert_eq!(names(place.path()), ["results"]);
}

#[test]
fn law_an_abandoned_folder_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let folder = OutputFolder::begin(&place.path().join("results"), Existing::Keep).unwrap();
    folder.add("a.txt", b"first").unwrap();
    drop(folder);
    assert!(names(place.path()).is_empty());
}

#[test]
fn law_an_existing_folder_is_kept_unless_told() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    std::fs::create_dir(&target).unwrap();
    std::fs::write(target.join("old.txt"), "old").unwrap();
    let error = OutputFolder::begin(&target, Existing::Keep).unwrap_err();
    assert!(error.hint().unwrap().contains("--replace"));
    assert_eq!(names(&target), ["old.txt"]);

    let folder = OutputFolder::begin(&target, Existing::Replace).unwrap();
    folder.add("new.txt", b"new").unwrap();
    assert_eq!(names(&target), ["old.txt"], "the old results stand until the new are complete");
    folder.finish().unwrap();
    assert_eq!(names(&target), ["new.txt"]);
    assert_eq!(names(place.path()), ["results"]);
}

#[test]
fn law_a_file_in_the_way_is_an_error() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    std::fs::write(&target, "a file").unwrap();
    assert!(OutputFolder::begin(&target, Existing::Keep).is_err());
    assert!(OutputFolder::begin(&target, Existing::Replace).is_err());
    assert_eq!(std::fs::read_to_string(&target).unwrap(), "a file");
    let nowhere = place.path().join("missing").join("results");
    assert!(OutputFolder::begin(&nowhere, Existing::Keep).is_err());
}

#[test]
fn law_numbered_folders_take_the_first_free_number() {
    let place = tempfile::tempdir().unwrap();
    std::fs::create_dir(place.path().join("run-001")).unwrap();
    for want in ["run-002", "run-003"] {
        let folder = OutputFolder::begin_numbered(place.path(), "run").unwrap();
        assert_eq!(folder.finish().unwrap(), place.path().join(want));
    }
}
