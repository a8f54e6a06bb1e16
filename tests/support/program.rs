//! The real program, run as a user runs it.

use std::path::Path;
use std::process::{Command, Output};

/// Runs the program in a folder, without colour.
pub(crate) fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_loopcrest"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

/// The text against the stored one of that name; written anew with `LOOPCREST_STORE=1`.
#[track_caller]
pub(crate) fn stored(name: &str, got: &str) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed").join(name);
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&file, got).unwrap();
    }
    let want = std::fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(got, want, "{name} differs from what is stored");
}

/// What it printed.
pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}
