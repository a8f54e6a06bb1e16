use crate::procedure::{Entry, LoggedEntry};

use super::super::problem::Problem;
use super::super::visits::{EntryAsked, OpeningSent};

/// Most characters of a name.
const NAME: usize = 200;
/// Most characters of anything said.
const WORDS: usize = 10_000;

/// Whether an entry that stands there says what is sent now under its name.
pub(super) fn check_alike(earlier: &LoggedEntry, asked: &EntryAsked) -> Result<(), Problem> {
    if is_alike(earlier, asked) { Ok(()) } else { Err(other_than(earlier)) }
}

/// The same for the opening of a visit.
pub(super) fn check_alike_opening(
    earlier: &LoggedEntry,
    asked: &OpeningSent,
) -> Result<(), Problem> {
    let Entry::Opening(opening) = &earlier.entry else { return Err(other_than(earlier)) };
    let is_alike = opening.regulator == asked.regulator.trim()
        && opening.person == asked.by.trim()
        && opening.circuit == asked.circuit;
    if is_alike { Ok(()) } else { Err(other_than(earlier)) }
}

fn other_than(earlier: &LoggedEntry) -> Problem {
    let detail = format!("entry {} carries this name and says something else", earlier.number);
    Problem::new("inconsistent", detail)
        .with_field("Idempotency-Key")
        .with_hint("every entry has a name of its own; only the same entry is sent again under it")
}

fn is_alike(earlier: &LoggedEntry, asked: &EntryAsked) -> bool {
    match (&earlier.entry, asked) {
        (Entry::Confirmation(said), EntryAsked::Answer { item, holds, text }) => {
            (&said.item, &said.holds, &said.text) == (item, holds, text)
        }
        (Entry::Confirmation(said), EntryAsked::LeaveStep { step, moment, reason }) => {
            said.item.ends_with(&format!(":{step}:{moment}")) && said.text == *reason
        }
        (Entry::Reading(read), EntryAsked::Reading { step, moment, output, typed, .. }) => {
            earlier.replaces.is_none()
                && (read.step, read.moment.key(), read.output.key()) == (*step, moment, output)
                && read.typed == typed.trim()
        }
        (Entry::Reading(read), EntryAsked::Correction { entry, typed }) => {
            earlier.replaces == Some(*entry) && read.typed == typed.trim()
        }
        (Entry::Protection(proof), EntryAsked::Proof { acted, remark, .. }) => {
            (&proof.acted, &proof.remark) == (acted, remark)
        }
        (Entry::Remark { text: said }, EntryAsked::Remark { text }) => said == text,
        (Entry::Withdrawal { .. }, EntryAsked::TakeBack { entry }) => {
            entry.is_none_or(|entry| earlier.replaces == Some(entry))
        }
        (Entry::Closing(closing), EntryAsked::Closing { complete, remark, .. }) => {
            (&closing.complete, &closing.remark) == (complete, remark)
        }
        _ => false,
    }
}

/// Names and words that fit into a record.
pub(super) fn check_words(by: &str, asked: &EntryAsked) -> Result<(), Problem> {
    check_length("by", by, NAME)?;
    let words = match asked {
        EntryAsked::Answer { text, .. } => ("text", text.as_deref()),
        EntryAsked::LeaveStep { reason, .. } => ("reason", reason.as_deref()),
        EntryAsked::Proof { remark, .. } | EntryAsked::Closing { remark, .. } => {
            ("remark", remark.as_deref())
        }
        EntryAsked::Remark { text } if text.trim().is_empty() => {
            return Err(Problem::new("malformed", "a remark says something").with_field("text"));
        }
        EntryAsked::Remark { text } => ("text", Some(text.as_str())),
        EntryAsked::Reading { typed, .. } | EntryAsked::Correction { typed, .. } => {
            return check_length("typed", typed, NAME);
        }
        EntryAsked::TakeBack { .. } => return Ok(()),
    };
    check_length(words.0, words.1.unwrap_or_default(), WORDS)
}

/// The same for the opening of a visit.
pub(super) fn check_words_opening(asked: &OpeningSent) -> Result<(), Problem> {
    let names = [
        ("by", Some(&asked.by)),
        ("regulator", Some(&asked.regulator)),
        ("circuit", asked.circuit.as_ref()),
        ("tap", asked.tap.as_ref()),
    ];
    for (field, name) in names {
        check_length(field, name.map_or("", String::as_str), NAME)?;
    }
    check_length("conditions", asked.conditions.as_deref().unwrap_or_default(), WORDS)
}

fn check_length(field: &'static str, text: &str, most: usize) -> Result<(), Problem> {
    if text.chars().nth(most).is_none() {
        return Ok(());
    }
    Err(Problem::new("malformed", "longer than a record can show")
        .with_field(field)
        .with_allowed(format!("{most} characters")))
}
