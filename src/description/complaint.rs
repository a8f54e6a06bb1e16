//! Complaints of the TOML reader, put into the library's error with place, field and hint.

use crate::error::{Error, Place};

/// The candidate whose spelling is nearest, if it is near at all.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(word.len()) / 3)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The place of a byte range, with the field that stands before it on its line.
pub(super) fn place(text: &str, span: std::ops::Range<usize>) -> Place {
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
pub(super) fn from_toml(text: &str, complaint: &toml::de::Error) -> Error {
    let message = complaint.message();
    let error = if let Some((found, expected)) = split(message, "invalid type: ")
        .or_else(|| split(message, "invalid value: "))
        .or_else(|| split(message, "invalid length "))
    {
        let (expected, hint) = match expected.split_once("; ") {
            Some((expected, hint)) => (expected, Some(hint)),
            None => (expected, None),
        };
        let error = Error::malformed(expected, found);
        hint.map_or_else(|| Error::malformed(expected, found), |hint| error.with_hint(hint))
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
    let error = Error::malformed(
        format!("one of {}", known.join(", ")),
        format!("the unknown {kind} \"{word}\""),
    );
    match nearest(word, known.iter().copied()) {
        Some(near) => error.with_hint(format!("did you mean \"{near}\"?")),
        None => error,
    }
}
