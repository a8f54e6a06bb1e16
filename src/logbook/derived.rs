//! The lists that follow from the entries: what counts now, found by name, regulator, meter or day.

use rusqlite::{Connection, OptionalExtension, Row, params, types::Value};

use crate::procedure::entry::{Closing, Opening, ReadingTaken};
use crate::procedure::{Entry, LoggedEntry};

use super::stored_entry::StoredEntry;
use super::trouble::Attempt;

/// The lists, in an order in which they can be filled.
pub(super) const LISTS: [&str; 4] = ["card", "visit", "closing", "reading"];

/// Takes one more entry into the lists of the same database.
pub(super) fn take_in(connection: &Connection, logged: &LoggedEntry) -> Attempt<()> {
    take_in_from(connection, connection, logged)
}

/// Takes one more entry of one database into the lists of another, which may be the same.
fn take_in_from(
    connection: &Connection,
    entries: &Connection,
    logged: &LoggedEntry,
) -> Attempt<()> {
    let mut stands_at = logged.number;
    if let Some(old) = logged.replaces {
        stands_at = first_in_place(entries, old)?;
        for list in ["card", "closing", "reading"] {
            connection
                .prepare_cached(&format!("DELETE FROM {list} WHERE entry = ?1"))?
                .execute([old.cast_signed()])?;
        }
    }
    let visit = logged.visit.unwrap_or_default();
    let number = logged.number;
    let card = |name: &str, detail: &str| -> Attempt<()> {
        connection
            .prepare_cached(
                "INSERT INTO card (entry, stands_at, kind, name, detail) \
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                number.cast_signed(),
                stands_at.cast_signed(),
                logged.entry.kind(),
                name,
                detail
            ])?;
        Ok(())
    };
    match &logged.entry {
        Entry::Regulator(regulator) => card(&regulator.name, "")?,
        Entry::Circuit(circuit) => card(&circuit.name, &circuit.regulator)?,
        Entry::Meter(meter) => card(&meter.name, "")?,
        Entry::Certificate(certificate) => card(&certificate.meter, &certificate.number)?,
        Entry::MeterDoubt(doubt) => card(&doubt.meter, &doubt.from.to_string())?,
        Entry::Opening(opening) => open(connection, visit, logged.replaces.is_some(), opening)?,
        Entry::Reading(reading) => read(connection, number, stands_at, visit, reading)?,
        Entry::Closing(closing) => close(connection, number, stands_at, visit, closing)?,
        Entry::Confirmation(_)
        | Entry::Protection(_)
        | Entry::Remark { .. }
        | Entry::Withdrawal { .. } => {}
    }
    // Opened, closed, or a closing taken back.
    let moves_state =
        matches!(logged.entry, Entry::Opening(_) | Entry::Closing(_) | Entry::Withdrawal { .. });
    if moves_state && logged.visit.is_some() { settle(connection, visit) } else { Ok(()) }
}

/// Empties every list and fills it from the entries.
pub(super) fn rebuild(connection: &Connection) -> Attempt<()> {
    for list in LISTS.iter().rev() {
        connection.execute(&format!("DELETE FROM {list}"), [])?;
    }
    take_in_all(connection, connection)
}

/// Fills the empty lists of one database from the entries of another, which may be the same.
pub(super) fn take_in_all(lists: &Connection, entries: &Connection) -> Attempt<()> {
    let query = format!("SELECT {} FROM entry ORDER BY number", StoredEntry::COLUMNS);
    let mut statement = entries.prepare(&query)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        take_in_from(lists, entries, &StoredEntry::from_row(row)?.read()?)?;
    }
    Ok(())
}

/// Every row of a list, in a fixed order, for comparing.
pub(super) fn rows(connection: &Connection, list: &str) -> Attempt<Vec<Vec<Value>>> {
    let mut statement = connection.prepare(&format!("SELECT * FROM {list} ORDER BY 1"))?;
    let columns = statement.column_count();
    let whole = |row: &Row<'_>| (0..columns).map(|column| row.get(column)).collect();
    let rows = statement.query_map([], whole)?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}

/// The entry in whose place another stands after any number of corrections.
fn first_in_place(connection: &Connection, number: u64) -> Attempt<u64> {
    let mut first = number;
    let mut statement =
        connection.prepare_cached("SELECT replaces FROM entry WHERE number = ?1")?;
    while let Some(Some(older)) =
        statement.query_row([first.cast_signed()], |row| row.get::<_, Option<i64>>(0)).optional()?
    {
        first = older.cast_unsigned();
    }
    Ok(first)
}

fn open(connection: &Connection, visit: u64, again: bool, opening: &Opening) -> Attempt<()> {
    let query = if again {
        "UPDATE visit SET regulator = ?2, circuit = ?3, meter = ?4, day = ?5, person = ?6 \
         WHERE number = ?1"
    } else {
        "INSERT INTO visit (number, regulator, circuit, meter, day, person, state) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, 'open')"
    };
    connection.prepare_cached(query)?.execute(params![
        visit.cast_signed(),
        opening.regulator,
        opening.circuit,
        opening.meter,
        opening.day.to_string(),
        opening.person
    ])?;
    Ok(())
}

fn read(
    connection: &Connection,
    number: u64,
    stands_at: u64,
    visit: u64,
    reading: &ReadingTaken,
) -> Attempt<()> {
    let judged = reading.judgement.as_ref();
    connection
        .prepare_cached(
            "INSERT INTO reading (entry, stands_at, visit, step, output, moment, shown_a, \
             true_rms_a, standard_uncertainty_a, nominal_a, low_a, high_a) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            number.cast_signed(),
            stands_at.cast_signed(),
            visit.cast_signed(),
            reading.step,
            reading.output.key(),
            reading.moment.key(),
            reading.shown_a,
            judged.and_then(|judged| judged.true_rms_a),
            judged.and_then(|judged| judged.standard_uncertainty_a),
            judged.map(|judged| judged.nominal_a),
            judged.map(|judged| judged.low_a),
            judged.map(|judged| judged.high_a),
        ])?;
    Ok(())
}

fn close(
    connection: &Connection,
    number: u64,
    stands_at: u64,
    visit: u64,
    closing: &Closing,
) -> Attempt<()> {
    connection
        .prepare_cached(
            "INSERT INTO closing (entry, stands_at, visit, complete, next_due) \
             VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![
            number.cast_signed(),
            stands_at.cast_signed(),
            visit.cast_signed(),
            closing.complete,
            closing.next_due.map(|day| day.to_string()),
        ])?;
    Ok(())
}

/// How far a visit is: by the last closing that counts.
fn settle(connection: &Connection, visit: u64) -> Attempt<()> {
    let last: Option<(bool, Option<String>)> = connection
        .prepare_cached(
            "SELECT complete, next_due FROM closing WHERE visit = ?1 \
             ORDER BY stands_at DESC LIMIT 1",
        )?
        .query_row([visit.cast_signed()], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let (state, due) = match last {
        None => ("open", None),
        Some((true, due)) => ("complete", due),
        Some((false, due)) => ("broken", due),
    };
    connection
        .prepare_cached("UPDATE visit SET state = ?2, next_due = ?3 WHERE number = ?1")?
        .execute(params![visit.cast_signed(), state, due])?;
    Ok(())
}
