use serde_json::{Map, Number, Value};

use crate::error::{Error, Result};
use crate::procedure::{Bench, Entry, typed_current};
use crate::units::parse_number;

use super::Logbook;

/// What follows from the other fields of a reading, and is worked out again.
const JUDGEMENT: &str = "judgement";

impl Logbook {
    /// An entry with some of its fields changed, to be written in its place: `(field, value)` as in
    /// files, a field inside another as `conditions.tap`; an empty value leaves the field out. A
    /// reading is judged again by what its visit was opened with.
    ///
    /// # Errors
    /// `Inconsistent` when there is no such entry or nothing would change; `Malformed` when the entry
    /// has no such field or the value is none for it.
    pub fn corrected(&self, number: u64, changes: &[(String, String)]) -> Result<Entry> {
        let old = self.entry(number)?;
        let mut value = serde_json::to_value(&old.entry).map_err(|error| unreadable(&error))?;
        let is_reading = matches!(old.entry, Entry::Reading(_));
        for (field, text) in changes {
            if field == "kind" || (is_reading && field.starts_with(JUDGEMENT)) {
                return Err(Error::inconsistent(format!("{field} is not for changing")));
            }
            set(&mut value, field, text)?;
            // What was typed and the number it means go together.
            if is_reading && matches!(field.as_str(), "typed" | "shown_a") {
                set(&mut value, "typed", text)?;
                set(&mut value, "shown_a", &typed_current(text)?.to_string())?;
            }
        }
        let mut entry: Entry = serde_json::from_value(value.clone()).map_err(|error| {
            Error::malformed(format!("a {}", old.entry.kind()), error.to_string())
        })?;
        kept(&entry, &value)?;
        if entry == old.entry {
            return Err(Error::inconsistent(format!("entry {number} says that already")));
        }
        if let (Entry::Reading(reading), Some(visit)) = (&mut entry, old.visit) {
            let visit = self.visit(visit)?;
            let bench = Bench::of(visit.opening())?;
            reading.judgement = Some(bench.judge(reading.step, reading.output, reading.shown_a)?);
            reading.doubts.clear();
        }
        Ok(entry)
    }
}

/// Puts a text into a field, as the kind of value that stands there, or as text where none does.
fn set(value: &mut Value, field: &str, text: &str) -> Result<()> {
    let (parents, name) = field.rsplit_once('.').unwrap_or(("", field));
    let mut table = value;
    for parent in parents.split('.').filter(|parent| !parent.is_empty()) {
        table = table
            .as_object_mut()
            .and_then(|table| table.get_mut(parent))
            .ok_or_else(|| Error::malformed(format!("a table \"{parent}\""), "none"))?;
    }
    let table: &mut Map<String, Value> = table
        .as_object_mut()
        .ok_or_else(|| Error::malformed(format!("a table around \"{name}\""), "a value"))?;
    if text.is_empty() {
        table.remove(name);
        return Ok(());
    }
    let plain = || Value::String(text.to_owned());
    // A number with a decimal comma, where the unit in the name says that it is one.
    let is_quantity = ["_a", "_s", "_v", "_ratio", "_degc"].iter().any(|unit| name.ends_with(unit));
    let number = || parse_number(text).filter(|_| is_quantity).and_then(Number::from_f64);
    let new = match table.get(name) {
        Some(Value::String(_)) => plain(),
        // A field that is absent may hold a number or a text: the entry itself decides below.
        _ => serde_json::from_str(text)
            .unwrap_or_else(|_| number().map_or_else(plain, Value::Number)),
    };
    table.insert(name.to_owned(), new);
    Ok(())
}

/// Whether every field that was set is one the entry knows.
fn kept(entry: &Entry, value: &Value) -> Result<()> {
    let known = serde_json::to_value(entry).map_err(|error| unreadable(&error))?;
    let (Some(known), Some(given)) = (known.as_object(), value.as_object()) else { return Ok(()) };
    let lost = |known: &Map<String, Value>, given: &Map<String, Value>| {
        given.keys().find(|name| !known.contains_key(*name)).cloned()
    };
    let mut unknown = lost(known, given);
    for (name, inner) in given {
        if let (Some(inner), Some(known)) =
            (inner.as_object(), known.get(name).and_then(Value::as_object))
        {
            unknown = unknown.or_else(|| lost(known, inner));
        }
    }
    match unknown {
        None => Ok(()),
        Some(name) => {
            let names: Vec<&str> = known.keys().map(String::as_str).collect();
            Err(Error::malformed(
                format!("a field of a {}, such as {}", entry.kind(), names.join(", ")),
                format!("\"{name}\""),
            ))
        }
    }
}

fn unreadable(error: &serde_json::Error) -> Error {
    Error::malformed("an entry", error.to_string())
}
