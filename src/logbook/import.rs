use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use crate::error::{Error, Place, Result};

use super::append::put;
use super::export::ENTRY_COLUMNS;
use super::stored_entry::StoredEntry;
use super::trouble::Attempt;
use super::{ExportFormat, Head, Logbook, verify};

impl Logbook {
    /// Makes a new logbook from an export: the same entries with the same hashes. It appears whole or
    /// not at all.
    ///
    /// # Errors
    /// `Malformed` with the line when something is no entry; `Inconsistent` when one does not fit the
    /// chain; `Io` when there is a logbook of that name already, or a file cannot be read or written.
    pub fn import(target: &Path, export: &Path) -> Result<Self> {
        let format = ExportFormat::of(export)?;
        Self::create_with(target, |connection| match format {
            ExportFormat::JsonLines => taken_in(connection, lines(export)?, export),
            ExportFormat::Csv => taken_in(connection, rows(export)?, export),
        })?;
        Self::open(target)
    }
}

/// Line of the file and what stands in it.
type Found = Result<(u64, StoredEntry)>;

fn taken_in(
    connection: &mut Connection,
    entries: impl Iterator<Item = Found>,
    export: &Path,
) -> Attempt<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let mut head: Option<Head> = None;
    for found in entries {
        let (line, stored) = found.map_err(|error| error.in_file(export))?;
        if let Some(what) = verify::misfit(&stored, head.as_ref()) {
            return Err(Error::inconsistent(what)
                .at(Place::line(usize::try_from(line).unwrap_or(usize::MAX)))
                .in_file(export)
                .with_hint("the export was changed or is not whole; nothing was written")
                .into());
        }
        put(&transaction, &stored)?;
        head = Some(Head { number: stored.number, hash: stored.hash });
    }
    if head.is_none() {
        return Err(Error::inconsistent("there is no entry in it").in_file(export).into());
    }
    transaction.commit()?;
    Ok(())
}

fn open(export: &Path) -> Result<BufReader<File>> {
    File::open(export).map(BufReader::new).map_err(|source| Error::io(export, source))
}

fn lines(export: &Path) -> Result<impl Iterator<Item = Found>> {
    let path = export.to_owned();
    Ok((1..).zip(open(export)?.lines()).map(move |(number, line)| {
        let line = line.map_err(|source| Error::io(&path, source))?;
        let place = Place::line(usize::try_from(number).unwrap_or(usize::MAX));
        let stored = StoredEntry::from_line(&line).map_err(|error| error.at(place))?;
        Ok((number, stored))
    }))
}

fn rows(export: &Path) -> Result<impl Iterator<Item = Found>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(true).from_reader(open(export)?);
    let header = reader.headers().map_err(|error| malformed(&error, 1))?;
    if header != ENTRY_COLUMNS.as_slice() {
        let found: Vec<&str> = header.iter().collect();
        return Err(Error::malformed(
            format!("the columns {}", ENTRY_COLUMNS.join(",")),
            found.join(","),
        )
        .at(Place::line(1))
        .in_file(export)
        .with_hint("a table of readings cannot be imported: export without --readings"));
    }
    Ok(reader.into_records().map(|record| {
        let record = record.map_err(|error| malformed(&error, 0))?;
        let line = record.position().map_or(0, csv::Position::line);
        let at = |field: &str| {
            Place::line(usize::try_from(line).unwrap_or(usize::MAX)).with_field(field)
        };
        let text = |column: usize| record.get(column).unwrap_or_default().to_owned();
        let number = |column: usize| {
            text(column).parse::<u64>().map_err(|_| {
                Error::malformed("a whole number", format!("\"{}\"", text(column)))
                    .at(at(ENTRY_COLUMNS[column]))
            })
        };
        let optional = |column: usize| {
            if text(column).is_empty() { Ok(None) } else { number(column).map(Some) }
        };
        let stored = StoredEntry {
            number: number(0)?,
            at: text(1),
            by: text(2),
            program: text(3),
            visit: optional(4)?,
            replaces: optional(5)?,
            kind: text(6),
            json: text(7),
            previous_hash: text(8),
            hash: text(9),
        };
        Ok((line, stored))
    }))
}

fn malformed(error: &csv::Error, line: u64) -> Error {
    let line = error.position().map_or(line, csv::Position::line);
    Error::malformed("a table with commas between its cells", error.to_string())
        .at(Place::line(usize::try_from(line).unwrap_or(usize::MAX)))
}
