//! Parameters as they stand in files, and what is said about wrong ones.

use crate::error::{Error, Result};

use super::{Parameter, TrainingFigure};

/// A value of a table as text.
///
/// # Errors
/// `Malformed` for a list, a table or a date.
pub(super) fn text(key: &str, value: &toml::Value) -> Result<String> {
    match value {
        toml::Value::String(text) => Ok(text.clone()),
        toml::Value::Integer(number) => Ok(number.to_string()),
        toml::Value::Float(number) => Ok(number.to_string()),
        other => Err(Error::malformed("a number or a text", format!("a {}", other.type_str()))
            .with_context(format!("parameter \"{key}\""))),
    }
}

/// A parameter that the figure does not have.
pub(super) fn unknown(figure: TrainingFigure, key: &str, known: &[Parameter]) -> Error {
    let names: Vec<&str> = known.iter().map(|parameter| parameter.key()).collect();
    let hint = match nearest(key, &names) {
        _ if names.is_empty() => "leave it out".to_owned(),
        Some(near) => format!("did you mean \"{near}\"? It has: {}", names.join(", ")),
        None => format!("it has: {}", names.join(", ")),
    };
    let what = format!("figure {} has no parameter \"{key}\"", figure.slug());
    Error::inconsistent(what).with_hint(hint)
}

/// The known name nearest to one that is not known, when it is near enough to be meant.
pub(super) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    let word = word.to_lowercase();
    let far = |name: &str| strsim::damerau_levenshtein(&word, name);
    let near = known.iter().copied().min_by_key(|name| far(name))?;
    (far(near) <= 1 + near.len() / 4).then_some(near)
}
