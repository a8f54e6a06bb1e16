use std::io::{ErrorKind, Write};
use std::path::Path;

use crate::error::{Error, Result};
use crate::report::CAUTIONS;

/// Writes a finished text to standard output in one go; a reader that went away (`| head`) is no
/// failure.
pub(super) fn print(text: &str) -> Result<()> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Error::io("standard output", error))
        }
        _ => Ok(()),
    }
}

/// "-" is no file's name here: what is read is named in every result.
///
/// # Errors
/// `Malformed` for "-".
pub(super) fn refuse_standard_input(file: &Path) -> Result<()> {
    if file == Path::new("-") {
        return Err(Error::malformed("the name of a file", "\"-\"")
            .with_hint("standard input is not read; save it as a file first"));
    }
    Ok(())
}

/// Text folded at 80 columns, each line indented.
pub(super) fn folded(text: &str, indent: &str) -> String {
    let width = 80_usize.saturating_sub(indent.len());
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("there is always a line");
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.iter().map(|line| format!("{indent}{line}\n")).collect()
}

/// The cautions that end every text which may lead someone to the equipment.
pub(super) fn cautions() -> String {
    let folded: String = CAUTIONS.iter().map(|caution| folded(caution, "  ")).collect();
    format!("\nBefore anyone goes to the regulator\n{folded}")
}
