//! Complaints of the TOML reader, put into the library's error with place, field and hint.

use crate::error::{Bounds, Error, Place};

/// A harmonic against the fundamental, at the edge of the program. More than the fundamental itself
/// is a percentage whose sign was forgotten.
pub const HARMONIC_RATIO: Bounds = Bounds::new("harmonic ratio", "", 0.0, 1.0);

/// The refusal of a harmonic ratio, with a hint when it looks like a percentage.
#[must_use]
pub fn percent_forgotten(error: Error, ratio: f64) -> Error {
    if ratio > HARMONIC_RATIO.max && ratio <= 100.0 {
        error.with_hint(format!("did you mean {ratio} %? write \"{ratio} %\""))
    } else {
        error
    }
}

/// An unknown word where one of a few is asked for, with the nearest spelling as a hint.
#[must_use]
pub fn misspelt<'a>(
    expected: impl Into<String>,
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Error {
    let error = Error::malformed(expected, format!("\"{word}\""));
    match nearest(word, known) {
        Some(near) => error.with_hint(format!("did you mean \"{near}\"?")),
        None => error,
    }
}

/// The candidate whose spelling is nearest, if it is near at all; upper and lower case are alike.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(&word, &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(word.len()) / 3)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The place of a byte range, with the field that stands before it on its line.
pub(crate) fn place(text: &str, span: std::ops::Range<usize>) -> Place {
    let place = Place::in_text(text, span.clone());
    match field_before(text, span.start) {
        Some(field) => place.with_field(field),
        None => place,
    }
}

fn field_before(text: &str, at: usize) -> Option<String> {
    let line_start = text.get(..at)?.rfind('\n').map_or(0, |newline| newline + 1);
    let (key, _) = text[line_start..at].rsplit_once('=')?;
    let key = key.rsplit(['{', ',', '[']).next()?.trim();
    (!key.is_empty()).then(|| key.to_owned())
}

/// Turns what the TOML reader says into "expected ..., found ..." with a hint.
pub(crate) fn from_toml(text: &str, complaint: &toml::de::Error) -> Error {
    let message = complaint.message();
    let error = if let Some((found, expected)) = split(message, "invalid type: ")
        .or_else(|| split(message, "invalid value: "))
        .or_else(|| split(message, "invalid length "))
    {
        let (expected, hint) = match expected.split_once("; ") {
            Some((expected, hint)) => (expected, Some(hint)),
            None => (expected, None),
        };
        let error = Error::malformed(plain_kind(expected), plain_found(found));
        match hint {
            Some(hint) => error.with_hint(hint),
            None => error,
        }
    } else if message.starts_with("unknown field") || message.starts_with("unknown variant") {
        unknown(message)
    } else if let Some(field) = message.strip_prefix("missing field ") {
        Error::malformed(format!("the field {field} in this table"), "none")
            .with_hint("`loopcrest starter` writes a complete file to compare with")
    } else if let Some(field) = message.strip_prefix("duplicate key") {
        Error::malformed("each field once", format!("a second one{field}"))
    } else {
        Error::malformed("valid TOML", message.replace('\n', "; "))
            .with_hint("quotes around text and around quantities with a unit: \"6.6 A\"")
    };
    match complaint.span() {
        Some(span) => error.at(place(text, span)),
        None => error,
    }
}

/// What the reader's types are called outside of programs.
fn plain_kind(expected: &str) -> String {
    let plain = match expected {
        "u8" | "u32" | "u64" | "usize" | "any unsigned integer" => "a whole number from 0 up",
        "i64" | "integer" => "a whole number",
        "f64" | "a float" => "a number",
        "a string" | "string" => "a text in quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list in square brackets",
        "a map" => "a table",
        "map with a single key" => "one word, or a table with one name",
        _ if expected.starts_with("struct") => "a table",
        _ if expected.starts_with("unit variant") => "the word alone, without a table",
        _ if expected.starts_with("tuple") => "a list in square brackets",
        _ => expected,
    };
    plain.to_owned()
}

/// What the reader met, as it stands in the file.
fn plain_found(found: &str) -> String {
    let bare = found.replace('`', "");
    for (kind, plain) in [
        ("string ", "the text "),
        ("integer ", "the number "),
        ("floating point ", "the number "),
        ("boolean ", ""),
    ] {
        if let Some(value) = bare.strip_prefix(kind) {
            return format!("{plain}{value}");
        }
    }
    match bare.as_str() {
        "sequence" => "a list".into(),
        "map" => "a table".into(),
        "unit variant" => "a word alone".into(),
        _ if bare.ends_with(" variant") => "a table".into(),
        _ => bare,
    }
}

fn split<'a>(message: &'a str, prefix: &str) -> Option<(&'a str, &'a str)> {
    message.strip_prefix(prefix)?.split_once(", expected ")
}

/// "unknown field `x`, expected `a` or `b`": the names stand between backticks.
fn unknown(message: &str) -> Error {
    let names: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
    let (Some(word), known) = (names.first(), &names[1.min(names.len())..]) else {
        return Error::malformed("a known field", message);
    };
    let kind = if message.starts_with("unknown field") { "field" } else { "word" };
    let expected = format!("one of {}", known.join(", "));
    let error = Error::malformed(expected, format!("the unknown {kind} \"{word}\""));
    match nearest(word, known.iter().copied()) {
        Some(near) => error.with_hint(format!("did you mean \"{near}\"?")),
        None => error,
    }
}
