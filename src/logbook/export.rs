use std::io::{BufWriter, Write};
use std::path::Path;

use crate::error::{Error, Result};

use super::new_file::NewFile;
use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};
use super::{ExportFormat, Head, Logbook};

/// Names of the columns of an export of entries.
pub(super) const ENTRY_COLUMNS: [&str; 10] = [
    "number",
    "at",
    "by",
    "program",
    "visit",
    "replaces",
    "kind",
    "entry",
    "previous_hash",
    "hash",
];

/// The readings that count, for a spreadsheet.
const READINGS: &str = "SELECT visit.number AS visit, reading.entry, day, regulator, circuit, meter, \
     person, step, output, moment, shown_a, true_rms_a, standard_uncertainty_a, nominal_a, low_a, \
     high_a FROM reading JOIN visit ON visit.number = reading.visit ORDER BY visit, stands_at";

impl Logbook {
    /// Writes every entry into a new file, complete: what [`Self::import`] makes of it is the same
    /// logbook. Returns the last entry in it.
    ///
    /// # Errors
    /// `Io` when there is a file of that name already, or it cannot be written.
    pub fn export(&self, target: &Path, format: ExportFormat) -> Result<Option<Head>> {
        let file = NewFile::begin(target)?;
        let mut out = buffer(&file, target)?;
        // One reading at one moment, whatever others write meanwhile.
        let query = format!("SELECT {} FROM entry ORDER BY number", StoredEntry::COLUMNS);
        let mut head = None;
        let mut write = || -> Attempt<()> {
            let mut rows = csv::Writer::from_writer(vec![]);
            if format == ExportFormat::Csv {
                rows.write_record(ENTRY_COLUMNS).map_err(|e| unwritten(target, e.into()))?;
            }
            let mut statement = self.connection.prepare(&query)?;
            let mut found = statement.query([])?;
            while let Some(row) = found.next()? {
                let stored = StoredEntry::from_row(row)?;
                match format {
                    ExportFormat::JsonLines => out
                        .write_all(stored.to_line()?.as_bytes())
                        .map_err(|source| unwritten(target, source))?,
                    ExportFormat::Csv => {
                        rows.write_record(cells(&stored))
                            .map_err(|e| unwritten(target, e.into()))?;
                        let bytes = taken(&mut rows, target)?;
                        out.write_all(&bytes).map_err(|source| unwritten(target, source))?;
                    }
                }
                head = Some(Head { number: stored.number, hash: stored.hash });
            }
            let bytes = taken(&mut rows, target)?;
            out.write_all(&bytes).map_err(|source| unwritten(target, source))?;
            Ok(())
        };
        write().in_logbook(self.path())?;
        finish(out, file, target)?;
        Ok(head)
    }

    /// Writes the readings that count into a new table for a spreadsheet, and returns how many.
    ///
    /// # Errors
    /// As [`Self::export`].
    pub fn export_readings(&self, target: &Path) -> Result<u64> {
        let file = NewFile::begin(target)?;
        let out = buffer(&file, target)?;
        let mut rows = csv::Writer::from_writer(out);
        let mut count = 0;
        let mut write = || -> Attempt<()> {
            let mut statement = self.connection.prepare(READINGS)?;
            let names: Vec<String> = statement.column_names().map(str::to_owned).collect();
            rows.write_record(&names).map_err(|e| unwritten(target, e.into()))?;
            let mut found = statement.query([])?;
            while let Some(row) = found.next()? {
                let cell = |column| row.get(column).map(cell_of);
                let cells: Vec<String> =
                    (0..names.len()).map(cell).collect::<rusqlite::Result<_>>()?;
                rows.write_record(&cells).map_err(|e| unwritten(target, e.into()))?;
                count += 1;
            }
            Ok(())
        };
        write().in_logbook(self.path())?;
        let out = rows.into_inner().map_err(|error| unwritten(target, error.into_error()))?;
        finish(out, file, target)?;
        Ok(count)
    }
}

fn buffer(file: &NewFile, target: &Path) -> Result<BufWriter<std::fs::File>> {
    let opened = std::fs::File::create(file.path()).map_err(|source| unwritten(target, source))?;
    Ok(BufWriter::new(opened))
}

fn finish(out: BufWriter<std::fs::File>, file: NewFile, target: &Path) -> Result<()> {
    out.into_inner().map_err(|error| unwritten(target, error.into_error()))?;
    file.finish()
}

/// What the writer of rows holds, leaving it empty.
fn taken(rows: &mut csv::Writer<Vec<u8>>, target: &Path) -> Result<Vec<u8>> {
    let full = std::mem::replace(rows, csv::Writer::from_writer(vec![]));
    full.into_inner().map_err(|error| unwritten(target, error.into_error()))
}

fn unwritten(target: &Path, source: std::io::Error) -> Error {
    Error::io(target, source)
}

fn cells(stored: &StoredEntry) -> [String; 10] {
    let number = |number: Option<u64>| number.map_or(String::new(), |number| number.to_string());
    [
        stored.number.to_string(),
        stored.at.clone(),
        stored.by.clone(),
        stored.program.clone(),
        number(stored.visit),
        number(stored.replaces),
        stored.kind.clone(),
        stored.json.clone(),
        stored.previous_hash.clone(),
        stored.hash.clone(),
    ]
}

/// A value as a cell; what is not known is an empty one.
fn cell_of(value: rusqlite::types::Value) -> String {
    use rusqlite::types::Value;
    match value {
        Value::Null | Value::Blob(_) => String::new(),
        Value::Integer(number) => number.to_string(),
        Value::Real(number) => number.to_string(),
        Value::Text(text) => text,
    }
}
