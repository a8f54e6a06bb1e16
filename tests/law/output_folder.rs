//! A folder of results appears whole or not at all, and nothing is written over unasked.

use std::path::{Path, PathBuf};

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
    let mut folder = OutputFolder::begin(&target, Existing::Keep).unwrap();
    folder.add("a.txt", b"first").unwrap();
    assert!(!target.exists());
    folder.add("b.txt", b"second").unwrap();
    assert_eq!(folder.finish().unwrap(), target);
    assert_eq!(names(&target), ["a.txt", "b.txt", "contents.json"]);
    assert_eq!(names(place.path()), ["results"]);
}

#[test]
fn law_an_abandoned_folder_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let mut folder = OutputFolder::begin(&place.path().join("results"), Existing::Keep).unwrap();
    folder.add("a.txt", b"first").unwrap();
    drop(folder);
    assert!(names(place.path()).is_empty());
}

fn finished(target: &Path, existing: Existing, name: &str) -> loopcrest::error::Result<PathBuf> {
    let mut folder = OutputFolder::begin(target, existing)?;
    folder.add(name, name.as_bytes())?;
    folder.finish()
}

#[test]
fn law_an_existing_folder_is_kept_unless_told() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    finished(&target, Existing::Keep, "old.txt").unwrap();
    let error = OutputFolder::begin(&target, Existing::Keep).unwrap_err();
    assert!(error.hint().unwrap().contains("--replace"));
    assert_eq!(names(&target), ["contents.json", "old.txt"]);

    let mut folder = OutputFolder::begin(&target, Existing::Replace).unwrap();
    folder.add("new.txt", b"new").unwrap();
    assert!(target.join("old.txt").is_file(), "the old results stand until the new are complete");
    folder.finish().unwrap();
    assert_eq!(names(&target), ["contents.json", "new.txt"]);
    assert_eq!(names(place.path()), ["results"]);
}

/// Both began while the target was free: the one that finishes second must not destroy the first.
#[test]
fn law_two_open_folders_on_one_target_keep_the_first_finished() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    let mut first = OutputFolder::begin(&target, Existing::Keep).unwrap();
    let mut second = OutputFolder::begin(&target, Existing::Keep).unwrap();
    first.add("first.txt", b"1").unwrap();
    second.add("second.txt", b"2").unwrap();
    first.finish().unwrap();
    assert!(second.finish().unwrap_err().hint().unwrap().contains("--replace"));
    assert_eq!(names(&target), ["contents.json", "first.txt"]);
    assert_eq!(names(place.path()), ["results"]);
}

#[test]
fn law_two_open_numbered_folders_take_two_numbers() {
    let place = tempfile::tempdir().unwrap();
    let first = OutputFolder::begin_numbered(place.path(), "run").unwrap();
    let second = OutputFolder::begin_numbered(place.path(), "run").unwrap();
    assert_eq!(second.finish().unwrap(), place.path().join("run-001"));
    assert_eq!(first.finish().unwrap(), place.path().join("run-002"));
}

#[test]
fn law_a_folder_with_a_foreign_file_is_never_replaced() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    finished(&target, Existing::Keep, "old.txt").unwrap();
    std::fs::write(target.join("photo.jpg"), "mine").unwrap();
    let error = finished(&target, Existing::Replace, "new.txt").unwrap_err();
    assert!(error.to_string().contains("photo.jpg"), "{error}");
    assert_eq!(names(&target), ["contents.json", "old.txt", "photo.jpg"]);

    // It may also come between beginning and finishing.
    std::fs::remove_file(target.join("photo.jpg")).unwrap();
    let mut folder = OutputFolder::begin(&target, Existing::Replace).unwrap();
    folder.add("new.txt", b"new").unwrap();
    std::fs::create_dir(target.join("notes")).unwrap();
    assert!(folder.finish().unwrap_err().to_string().contains("notes"));
    assert_eq!(names(&target), ["contents.json", "notes", "old.txt"]);

    // A folder without the list is somebody's own; an empty one is nobody's.
    let other = place.path().join("other");
    std::fs::create_dir(&other).unwrap();
    finished(&other, Existing::Replace, "a.txt").unwrap();
    std::fs::remove_file(other.join("contents.json")).unwrap();
    assert!(finished(&other, Existing::Replace, "b.txt").is_err());
    assert_eq!(names(&other), ["a.txt"]);
}

#[test]
fn law_a_target_is_found_through_dots_and_spares_what_it_must() {
    let place = tempfile::tempdir().unwrap();
    let inner = place.path().join("inner");
    std::fs::create_dir(&inner).unwrap();
    let dotted = inner.join("..").join("results");
    finished(&dotted, Existing::Keep, "description.toml").unwrap();
    finished(&dotted, Existing::Replace, "description.toml").unwrap();
    assert_eq!(names(place.path()), ["inner", "results"]);

    let description = place.path().join("results/description.toml");
    let folder = OutputFolder::begin(&dotted, Existing::Replace).unwrap();
    let error = folder.sparing(&description).unwrap_err();
    assert!(error.to_string().contains("which the results are made from"), "{error}");

    let here = std::env::current_dir().unwrap();
    for target in [Path::new("."), Path::new(".."), &here] {
        assert!(OutputFolder::begin(target, Existing::Replace).is_err(), "{}", target.display());
    }
    assert_eq!(names(place.path()), ["inner", "results"]);
}

#[cfg(unix)]
#[test]
fn law_a_link_in_the_way_is_an_error() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("results");
    std::os::unix::fs::symlink(place.path().join("nowhere"), &target).unwrap();
    assert!(OutputFolder::begin(&target, Existing::Keep).is_err());
    assert!(OutputFolder::begin(&target, Existing::Replace).is_err());
    assert_eq!(names(place.path()), ["results"]);
}

#[test]
fn law_only_plain_names_are_added() {
    let place = tempfile::tempdir().unwrap();
    let mut folder = OutputFolder::begin(&place.path().join("results"), Existing::Keep).unwrap();
    for name in ["../a.txt", "a/b.txt", "/a.txt", "a\\b.txt", "", ".", "..", "contents.json"] {
        assert!(folder.add(name, b"x").is_err(), "{name}");
    }
    drop(folder);
    assert!(names(place.path()).is_empty());
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
