//! What stands in the file, version by version, and how an older one is brought forward.

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::error::{Error, Result};

use super::derived;
use super::trouble::Attempt;

/// "LCLB": tells a logbook from any other SQLite file.
const APPLICATION_ID: i64 = 0x4C43_4C42;

/// The version this program writes.
pub(super) const VERSION: i64 = 1;

/// Version 0: the entries alone, as before the first release.
const ENTRIES: &str = "
CREATE TABLE entry (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    at TEXT NOT NULL,
    person TEXT NOT NULL,
    program TEXT NOT NULL,
    visit INTEGER REFERENCES entry (number),
    replaces INTEGER UNIQUE REFERENCES entry (number),
    kind TEXT NOT NULL,
    json TEXT NOT NULL CHECK (json_valid(json)),
    previous_hash TEXT NOT NULL,
    hash TEXT NOT NULL UNIQUE
) STRICT;
";

/// What version 1 adds. Entries are only ever added, in order; `stands_at` is the number of the first
/// entry in whose place a correction stands. Everything but `entry` follows from `entry`.
const LISTS: &str = "
CREATE INDEX entry_of_visit ON entry (visit, number);
CREATE TRIGGER entry_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entry_never_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
CREATE TRIGGER entry_in_order BEFORE INSERT ON entry
WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'entries are numbered without gaps'); END;

CREATE TABLE card (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    stands_at INTEGER NOT NULL,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    detail TEXT NOT NULL
) STRICT;
CREATE INDEX card_by_name ON card (kind, name, detail, stands_at);

CREATE TABLE visit (
    number INTEGER PRIMARY KEY REFERENCES entry (number),
    regulator TEXT NOT NULL,
    circuit TEXT,
    meter TEXT NOT NULL,
    day TEXT NOT NULL,
    person TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('open', 'complete', 'broken')),
    next_due TEXT
) STRICT;
CREATE UNIQUE INDEX visit_open ON visit (regulator) WHERE state = 'open';
CREATE INDEX visit_by_regulator ON visit (regulator, number);
CREATE INDEX visit_by_meter ON visit (meter, day);

CREATE TABLE closing (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    stands_at INTEGER NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit (number),
    complete INTEGER NOT NULL,
    next_due TEXT
) STRICT;
CREATE INDEX closing_of_visit ON closing (visit, stands_at);

CREATE TABLE reading (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    stands_at INTEGER NOT NULL,
    visit INTEGER NOT NULL REFERENCES visit (number),
    step INTEGER NOT NULL,
    output TEXT NOT NULL,
    moment TEXT NOT NULL,
    shown_a REAL NOT NULL,
    true_rms_a REAL,
    standard_uncertainty_a REAL,
    nominal_a REAL,
    low_a REAL,
    high_a REAL
) STRICT;
CREATE INDEX reading_of_visit ON reading (visit, step, output, moment, stands_at);
";

/// What each version adds to the one before: the first brings version 0 to 1.
const STEPS: [fn(&Transaction<'_>) -> Attempt<()>; VERSION as usize] = [lists];

fn lists(transaction: &Transaction<'_>) -> Attempt<()> {
    transaction.execute_batch(LISTS)?;
    derived::rebuild(transaction)
}

/// Makes an empty database a logbook of the newest version.
pub(super) fn begin(connection: &mut Connection) -> Attempt<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    transaction.execute_batch(ENTRIES)?;
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    bring_forward(transaction, 0)
}

/// What every connection needs before anything else.
pub(super) fn prepare(connection: &Connection) -> Attempt<()> {
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "recursive_triggers", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    Ok(())
}

/// The version of a logbook.
///
/// # Errors
/// `Malformed` when it is no logbook, or one of a version that this program does not know.
pub(super) fn version(connection: &Connection) -> Attempt<i64> {
    let pragma = |name: &str| {
        connection.query_row(&format!("PRAGMA {name}"), [], |row| row.get::<_, i64>(0))
    };
    let found = pragma("application_id")?;
    if found != APPLICATION_ID {
        let tables: i64 =
            connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        let what = if tables == 0 { "an empty file" } else { "an SQLite file of another program" };
        return Err(Error::malformed("a logbook", what)
            .with_hint("name the right file with --logbook; nothing was changed")
            .into());
    }
    let version = pragma("user_version")?;
    if !(0..=VERSION).contains(&version) {
        return Err(Error::malformed(
            format!("a logbook of version {VERSION} or older"),
            format!("version {version}"),
        )
        .with_hint("a newer loopcrest wrote it: use that one; nothing was changed")
        .into());
    }
    Ok(version)
}

/// Brings an older logbook to the newest version, all of the way or not at all.
pub(super) fn migrate(connection: &mut Connection) -> Attempt<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have done it while this one waited.
    let from = version(&transaction)?;
    bring_forward(transaction, from)
}

fn bring_forward(transaction: Transaction<'_>, from: i64) -> Attempt<()> {
    for step in STEPS.iter().skip(usize::try_from(from).unwrap_or_default()) {
        step(&transaction)?;
    }
    transaction.pragma_update(None, "user_version", VERSION)?;
    transaction.commit()?;
    Ok(())
}

/// A new logbook in memory, for working things out again.
pub(super) fn in_memory() -> Attempt<Connection> {
    let mut connection = Connection::open_in_memory()?;
    prepare(&connection)?;
    begin(&mut connection)?;
    Ok(connection)
}

/// Name and text of everything declared in a logbook, in a fixed order.
pub(super) fn declared(connection: &Connection) -> Attempt<Vec<(String, String)>> {
    let mut statement = connection.prepare(
        "SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' \
         ORDER BY name",
    )?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}

/// The guards that keep entries as they were written.
const GUARDS: [&str; 3] = ["entry_never_changed", "entry_never_removed", "entry_in_order"];

/// The first of the guards that is not there.
pub(super) fn missing_guard(connection: &Connection) -> Attempt<Option<&'static str>> {
    let mut statement = connection.prepare_cached(
        "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND name = ?1",
    )?;
    for guard in GUARDS {
        if statement.query_row([guard], |row| row.get::<_, i64>(0))? == 0 {
            return Ok(Some(guard));
        }
    }
    Ok(None)
}

/// A whole number as the store keeps it; numbers of entries never come near its end.
pub(super) fn whole(number: u64) -> Result<i64> {
    i64::try_from(number).map_err(|_| Error::inconsistent(format!("there is no entry {number}")))
}
