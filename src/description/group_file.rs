//! Fixture groups from delimited text: one row a group, the columns named as the fields are.

use std::collections::BTreeSet;
use std::io::Read;
use std::path::Path;

use crate::error::{Error, Place, Result};
use crate::units;

use super::complaint::misspelt;
use super::group_entry::{GROUP_FIELDS, GroupEntry, GroupField};

/// Largest file of groups that is read.
const MAX_BYTES: u64 = 4 << 20;

/// One column: the field it fills and the unit in its heading, when there is one.
struct Column {
    field: &'static str,
    holds: GroupField,
    unit: Option<String>,
}

/// The groups of a file, in its order.
///
/// Separators are commas, semicolons or tabs; lines beginning with # are remarks. A column headed
/// `power (W)` holds bare numbers, one headed `power` quantities such as `120 W`.
///
/// # Errors
/// `Io` when the file cannot be read; `Malformed` with row and column for what cannot be understood.
pub(super) fn groups_of(file: &Path) -> Result<Vec<GroupEntry>> {
    parse(&text_of(file)?, file).map_err(|error| error.in_file(file))
}

fn text_of(file: &Path) -> Result<String> {
    let failed = |source| Error::io(file, source);
    let mut bytes = Vec::new();
    let opened = std::fs::File::open(file).map_err(failed)?;
    opened.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MAX_BYTES {
        let expected = format!("a list of fixture groups of at most {MAX_BYTES} bytes");
        return Err(Error::malformed(expected, "more").in_file(file));
    }
    String::from_utf8(bytes)
        .map_err(|_| Error::malformed("text in UTF-8", "other bytes").in_file(file))
}

fn parse(text: &str, file: &Path) -> Result<Vec<GroupEntry>> {
    let text = text.trim_start_matches('\u{feff}');
    let heading = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let Some(heading) = heading else {
        return Err(Error::malformed("a heading line and one row for each group", "an empty file"));
    };
    let delimiter = [b';', b'\t'].into_iter().find(|byte| heading.as_bytes().contains(byte));
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter.unwrap_or(b','))
        .comment(Some(b'#'))
        .flexible(true)
        .trim(csv::Trim::All)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut columns: Option<Vec<Column>> = None;
    let mut groups = Vec::new();
    for (row, record) in reader.records().enumerate() {
        let record =
            record.map_err(|error| Error::malformed("rows of cells", error.to_string()))?;
        let line = record.position().map_or(row + 1, |position| position.line() as usize);
        match &columns {
            None => columns = Some(headings(&record, line)?),
            Some(_) if record.iter().all(str::is_empty) => {}
            Some(columns) => groups.push(group(&record, columns, row, line, file)?),
        }
    }
    if groups.is_empty() {
        return Err(Error::malformed("one row for each fixture group", "headings only"));
    }
    Ok(groups)
}

fn headings(record: &csv::StringRecord, line: usize) -> Result<Vec<Column>> {
    let mut seen = BTreeSet::new();
    let mut columns = Vec::with_capacity(record.len());
    for (at, heading) in record.iter().enumerate() {
        let here = |error: Error| {
            error
                .with_context(format!("heading of column {}", at + 1))
                .at(Place::line(line).with_field(heading))
        };
        let (name, unit) = split_unit(heading);
        let key = name.to_lowercase().replace([' ', '_'], "-");
        let known = GROUP_FIELDS.iter().find(|(field, _)| *field == key);
        let Some((field, holds)) = known else {
            let names = GROUP_FIELDS.map(|(field, _)| field);
            let expected = format!("one of {}", names.join(", "));
            return Err(here(misspelt(expected, name, names)));
        };
        if !seen.insert(*field) {
            return Err(here(Error::inconsistent(format!("two columns are headed \"{field}\""))));
        }
        if let (Some(unit), GroupField::Quantity(dimension)) = (&unit, holds)
            && dimension.factor(unit).is_none()
        {
            let expected = format!("a unit of quantities such as {}", dimension.example());
            return Err(here(Error::malformed(expected, format!("\"{unit}\""))));
        }
        columns.push(Column { field, holds: *holds, unit });
    }
    Ok(columns)
}

/// "power (W)" and "power [W]" name the unit of bare numbers below them.
fn split_unit(heading: &str) -> (&str, Option<String>) {
    let Some(open) = heading.find(['(', '[']) else { return (heading, None) };
    let unit = heading[open + 1..].trim_end_matches([')', ']']).trim();
    (heading[..open].trim_end(), (!unit.is_empty()).then(|| unit.to_owned()))
}

fn group(
    record: &csv::StringRecord,
    columns: &[Column],
    row: usize,
    line: usize,
    file: &Path,
) -> Result<GroupEntry> {
    if record.len() != columns.len() {
        let expected = format!("{} cells as in the heading", columns.len());
        return Err(Error::malformed(expected, format!("{} cells", record.len()))
            .with_context(format!("row {row}"))
            .at(Place::line(line)));
    }
    let mut entry = GroupEntry::new(Place::line(line), Some(file.to_owned()));
    for (at, (column, cell)) in columns.iter().zip(record).enumerate() {
        if cell.is_empty() {
            continue;
        }
        let place = Place::line(line).with_field(column.field);
        let here = |error: Error| {
            error
                .with_context(format!("row {row}, column {} \"{}\"", at + 1, column.field))
                .at(place.clone())
        };
        match column.holds {
            GroupField::Text => entry.put_text(column.field, cell.to_owned(), place),
            GroupField::Whole => {
                let whole: i64 = cell
                    .parse()
                    .map_err(|_| here(Error::malformed("a whole number", format!("\"{cell}\""))))?;
                entry.put_number(column.field, whole as f64, place);
            }
            GroupField::Quantity(dimension) => {
                let typed = match (&column.unit, units::parse_number(cell)) {
                    (Some(unit), Some(_)) => format!("{cell} {unit}"),
                    _ => cell.to_owned(),
                };
                let value = units::parse(&typed, dimension).map_err(here)?;
                entry.put_number(column.field, value, place);
            }
        }
    }
    Ok(entry)
}
