//! What an entry must fit before it is written.

use rusqlite::{Connection, OptionalExtension};

use crate::error::{Error, Result};
use crate::procedure::Entry;

use super::stored_entry::StoredEntry;
use super::trouble::Attempt;

/// Whether an entry fits what is there.
///
/// # Errors
/// `Inconsistent`, with the number of the entry it runs against.
pub(super) fn check(
    connection: &Connection,
    visit: Option<u64>,
    replaces: Option<u64>,
    entry: &Entry,
) -> Attempt<()> {
    match replaces {
        Some(old) => check_replacing(connection, visit, old, entry)?,
        None if matches!(entry, Entry::Withdrawal { .. }) => {
            return Err(Error::inconsistent("a withdrawal names the entry it takes back").into());
        }
        None => {}
    }
    match (visit, entry) {
        (None, Entry::Opening(opening)) => check_free(connection, &opening.regulator, None)?,
        // A remark on the logbook itself, a card taken back.
        (None, Entry::Remark { .. } | Entry::Withdrawal { .. }) => {}
        (None, other) if other.is_of_visit() => {
            return Err(
                Error::inconsistent(format!("a {} belongs to a visit", other.kind())).into()
            );
        }
        (None, _) => {}
        (Some(visit), Entry::Opening(opening)) => {
            if replaces.is_none() {
                return Err(Error::inconsistent(format!("visit {visit} is opened already")).into());
            }
            if state(connection, visit)?.1 == "open" {
                check_free(connection, &opening.regulator, Some(visit))?;
            }
        }
        (Some(visit), other) if !other.is_of_visit() => {
            return Err(Error::inconsistent(format!(
                "a {} belongs to no visit, not to visit {visit}",
                other.kind()
            ))
            .into());
        }
        (Some(visit), other) => check_state(connection, visit, replaces, other)?,
    }
    Ok(())
}

/// The visit that is open on a regulator.
pub(super) fn open_visit(connection: &Connection, regulator: &str) -> Attempt<Option<u64>> {
    let number = connection
        .prepare_cached("SELECT number FROM visit WHERE regulator = ?1 AND state = 'open'")?
        .query_row([regulator], |row| row.get::<_, i64>(0))
        .optional()?;
    Ok(number.map(i64::cast_unsigned))
}

/// Regulator of a visit, and how far it is.
pub(super) fn state(connection: &Connection, visit: u64) -> Attempt<(String, String)> {
    let found = connection
        .prepare_cached("SELECT regulator, state FROM visit WHERE number = ?1")?
        .query_row([super::schema::whole(visit)?], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    found.ok_or_else(|| no_visit(visit).into())
}

pub(super) fn no_visit(visit: u64) -> Error {
    Error::inconsistent(format!("there is no visit {visit}"))
        .with_hint("`loopcrest logbook visits` lists them")
}

fn check_free(connection: &Connection, regulator: &str, except: Option<u64>) -> Attempt<()> {
    match open_visit(connection, regulator)? {
        Some(open) if Some(open) != except => Err(Error::inconsistent(format!(
            "visit {open} on {regulator} is still open; a second one would mix their readings"
        ))
        .with_hint(format!("go on with visit {open}, or close it as broken off"))
        .into()),
        _ => Ok(()),
    }
}

fn check_state(
    connection: &Connection,
    visit: u64,
    replaces: Option<u64>,
    entry: &Entry,
) -> Attempt<()> {
    let (regulator, state) = state(connection, visit)?;
    if state == "open" {
        return Ok(());
    }
    let Some(old) = replaces else {
        // What comes to mind later may still be written down.
        if matches!(entry, Entry::Remark { .. }) {
            return Ok(());
        }
        return Err(Error::inconsistent(format!(
            "visit {visit} is closed; only corrections, withdrawals and remarks are added to it"
        ))
        .with_hint("open a new visit")
        .into());
    };
    let is_closing = StoredEntry::find(connection, old)?.is_some_and(|old| old.kind == "closing");
    if is_closing && matches!(entry, Entry::Withdrawal { .. }) {
        check_free(connection, &regulator, Some(visit))?;
    }
    Ok(())
}

fn check_replacing(
    connection: &Connection,
    visit: Option<u64>,
    old: u64,
    entry: &Entry,
) -> Attempt<()> {
    let refuse = |what: String| -> Attempt<()> { Err(Error::inconsistent(what).into()) };
    super::schema::whole(old)?;
    let Some(found) = StoredEntry::find(connection, old)? else {
        return refuse(format!("there is no entry {old} to replace"));
    };
    let newer: Option<i64> = connection
        .prepare_cached("SELECT number FROM entry WHERE replaces = ?1")?
        .query_row([old.cast_signed()], |row| row.get(0))
        .optional()?;
    if let Some(newer) = newer {
        return Err(Error::inconsistent(format!(
            "entry {old} counts no more: entry {newer} stands in its place"
        ))
        .with_hint(format!("correct entry {newer}"))
        .into());
    }
    if found.visit != visit {
        let of = found.visit.map_or("no visit".to_owned(), |visit| format!("visit {visit}"));
        return refuse(format!("entry {old} is of {of}"));
    }
    match entry {
        _ if found.kind == "withdrawal" => {
            refuse(format!("entry {old} is a withdrawal: enter anew what it took back"))
        }
        Entry::Withdrawal { .. } if found.kind == "opening" => refuse(format!(
            "entry {old} opens visit {old} and cannot be taken back: close the visit as broken off"
        )),
        Entry::Withdrawal { .. } => Ok(()),
        other if other.kind() == found.kind => Ok(()),
        other => refuse(format!(
            "entry {old} is a {}; a {} cannot stand in its place",
            found.kind,
            other.kind()
        )),
    }
}

/// A name that can stand in a list and on a label.
pub(super) fn check_person(name: &str) -> Result<()> {
    if name.trim().is_empty() || name.chars().any(char::is_control) {
        return Err(Error::malformed(
            "the name of the person who writes, on one line",
            format!("{name:?}"),
        ));
    }
    Ok(())
}
