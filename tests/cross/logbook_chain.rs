//! The chain of hashes, computed by another program from the page that describes it.

use std::path::Path;

use loopcrest::logbook::Logbook;

/// `tests/reference/logbook/chain.py` (Python's sqlite3 and hashlib) on the frozen logbook of version 1;
/// the library shares no code with it.
#[test]
fn cross_the_chain_is_what_another_program_computes() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join("tests/reference/logbook/chain.json")).unwrap();
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    let hashes = document["hashes"].as_array().unwrap();
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("logbook.sqlite");
    std::fs::copy(root.join("tests/record/v1/logbook.sqlite"), &file).unwrap();
    let logbook = Logbook::open_read_only(&file).unwrap();
    assert_eq!(logbook.head().unwrap().unwrap().number, hashes.len() as u64);
    for (number, hash) in (1..).zip(hashes) {
        assert_eq!(logbook.entry(number).unwrap().hash, hash.as_str().unwrap(), "entry {number}");
    }
}
