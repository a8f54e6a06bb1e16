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

/// What it printed.
pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}
