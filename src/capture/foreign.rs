use std::path::Path;

use crate::error::{Error, Result};

/// Refuses files that are no delimited text, by name, as far as their content tells what they are.
///
/// # Errors
/// `Malformed` for sound files, transient records, pictures, and packed or page formats.
pub(super) fn refuse_foreign(bytes: &[u8]) -> Result<()> {
    let kind = match bytes {
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'A', b'V', b'E', ..] => "a WAV sound file",
        [b'R', b'I', b'F', b'F' | b'X', ..] => "a RIFF file",
        [0x89, b'P', b'N', b'G', ..] => "a PNG picture",
        [0xFF, 0xD8, 0xFF, ..] => "a JPEG picture",
        [b'%', b'P', b'D', b'F', ..] => "a PDF document",
        [b'P', b'K', 3, 4, ..] => "a packed file (a spreadsheet, perhaps)",
        [0x1F, 0x8B, ..] => "a packed file",
        _ if is_transient_record(bytes) => "a COMTRADE record",
        _ => return Ok(()),
    };
    Err(refused(kind))
}

/// Refuses the data file of a transient record, which only its configuration beside it gives away.
///
/// # Errors
/// `Malformed` when there is such a configuration.
pub(super) fn refuse_half_of_record(path: &Path) -> Result<()> {
    let is_data = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("dat"));
    let beside = |end: &str| path.with_extension(end).is_file();
    if is_data && (beside("cfg") || beside("CFG")) {
        return Err(refused("the data of a COMTRADE record"));
    }
    Ok(())
}

fn refused(kind: &str) -> Error {
    Error::malformed("delimited text", format!("{kind}, which is not read yet"))
        .with_hint("export the samples as delimited text (CSV)")
}

/// Whether this is a configuration (third field of the first line a year of the standard or absent,
/// then the numbers of channels as "12,8A,4D") or a file that holds everything together.
fn is_transient_record(bytes: &[u8]) -> bool {
    /// No line of a configuration is longer.
    const HEAD: usize = 512;
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(HEAD)]);
    let mut lines = head.lines();
    let first = lines.next().unwrap_or("").trim_start_matches('\u{feff}').trim();
    let lower = first.to_ascii_lowercase();
    if lower.starts_with("---") && lower.contains("file type:") {
        return true;
    }
    let Some(counts) = lines.next() else { return false };
    let counts: Vec<String> =
        counts.split(',').map(|part| part.trim().to_ascii_uppercase()).collect();
    let number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let ends = |text: &str, letter: char| text.strip_suffix(letter).is_some_and(number);
    matches!(counts.as_slice(), [all, analog, digital]
        if number(all) && ends(analog, 'A') && ends(digital, 'D'))
}
