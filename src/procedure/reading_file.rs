use std::path::Path;

use crate::description::misspelt;
use crate::error::{Error, Place, Result};
use crate::regulator::StepTable;

use super::entry::{Moment, Output, ProtectionProof};
use super::{Candidate, typed_current};

/// A table of readings from a file: rows of step, moment, output and the number shown, in the order
/// they were taken; between them, where the file has the columns for it, answers to items of the
/// procedure and trials of a protection.
///
/// The first line names the columns `step`, `moment` (as-found, as-left), `output` (shorted, field)
/// and `shown`, in any order, and where wanted `item` (its key), `answer` and `after` (the time until
/// a protection acted); a row that names an item leaves step, moment and output empty. Between cells stands a comma, a semicolon or a tab. Empty lines and
/// lines that begin with # are passed over. Shorted comes before field, the brightest step first, as
/// found before as left; as left may be read several times, the last counts.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingFile {
    /// Its rows, each as typed and as understood.
    pub rows: Vec<FileRow>,
}

/// One row of a file.
#[derive(Clone, Debug, PartialEq)]
pub enum FileRow {
    /// A number read at a step.
    Reading(FileReading),
    /// An answer to an item of the procedure, or a trial of a protection.
    Answer(FileAnswer),
}

impl FileRow {
    /// Its line in the file, from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        match self {
            Self::Reading(reading) => reading.line,
            Self::Answer(answer) => answer.line,
        }
    }
}

/// An answer of a file, not yet held against the procedure.
#[derive(Clone, Debug, PartialEq)]
pub struct FileAnswer {
    /// Its line in the file, from 1.
    pub line: usize,
    /// Key of the item.
    pub item: String,
    /// What was answered, letter for letter.
    pub answer: String,
    /// What the meter showed when a protection acted, or the most it showed.
    pub shown_a: Option<f64>,
    /// How long that took.
    pub time_s: Option<f64>,
}

/// One reading of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct FileReading {
    /// Its line in the file, from 1.
    pub line: usize,
    /// What was typed, letter for letter.
    pub typed: String,
    /// What it was understood as.
    pub candidate: Candidate,
}

const COLUMNS: [&str; 7] = ["step", "moment", "output", "shown", "item", "answer", "after"];
/// The first of them are in every file.
const NEEDED: usize = 4;
/// Largest file of readings that is read.
const MAX_BYTES: u64 = 1 << 20;

impl ReadingFile {
    /// Reads a file.
    ///
    /// # Errors
    /// `Io` when it cannot be read; otherwise as [`Self::parse`], with the file named.
    pub fn read(file: &Path, steps: &StepTable) -> Result<Self> {
        let failed = |source| Error::io(file, source);
        let about = std::fs::metadata(file).map_err(failed)?;
        if about.len() > MAX_BYTES {
            let expected = format!("a file of readings of at most {MAX_BYTES} bytes");
            return Err(Error::malformed(expected, format!("{} bytes", about.len())).in_file(file));
        }
        let text = String::from_utf8(std::fs::read(file).map_err(failed)?).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Error::malformed("text in UTF-8", format!("other bytes at position {at}")).in_file(file)
        })?;
        Self::parse(&text, steps).map_err(|error| error.in_file(file))
    }

    /// Reads the text of a file.
    ///
    /// # Errors
    /// `Malformed` for a column that is missing or unknown, a step that is not in the table, a number
    /// that is none; `OutOfRange` for one no display shows; `Inconsistent` for readings out of order.
    /// Each names its line and column.
    pub fn parse(text: &str, steps: &StepTable) -> Result<Self> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().find(|line| !is_passed_over(line)).unwrap_or_default();
        let separator = [b';', b'\t', b','].into_iter().find(|s| head.contains(char::from(*s)));
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator.unwrap_or(b','))
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut columns: Option<Columns> = None;
        let mut rows: Vec<FileRow> = Vec::new();
        let mut last: Option<Candidate> = None;
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(0, |position| position.line() as usize);
                Error::malformed("a row of cells", error.to_string()).at(Place::line(line))
            })?;
            let line = line_of(text, &record);
            let Some(columns) = &columns else {
                columns = Some(columns_of(&record).map_err(|error| error.at(Place::line(line)))?);
                continue;
            };
            if record.iter().all(str::is_empty) {
                continue;
            }
            let row = row(&record, columns, line, steps)?;
            if let FileRow::Reading(FileReading { candidate, .. }) = &row {
                last.map_or(Ok(()), |last| in_order(&last, candidate))
                    .map_err(|error| error.at(Place::line(line)))?;
                last = Some(*candidate);
            }
            rows.push(row);
        }
        if columns.is_none() || rows.is_empty() {
            let expected =
                "a line with the columns step, moment, output, shown and one row at least";
            return Err(Error::malformed(expected, "none"));
        }
        Ok(Self { rows })
    }

    /// Its readings.
    pub fn readings(&self) -> impl Iterator<Item = &FileReading> {
        self.rows.iter().filter_map(|row| match row {
            FileRow::Reading(reading) => Some(reading),
            FileRow::Answer(_) => None,
        })
    }

    /// Whether it answers items of the procedure.
    #[must_use]
    pub fn has_answers(&self) -> bool {
        self.rows.iter().any(|row| matches!(row, FileRow::Answer(_)))
    }
}

fn is_passed_over(line: &str) -> bool {
    line.trim().is_empty() || line.starts_with('#')
}

/// The line a row stands on: a reader of rows counts what was passed over before it as part of it.
fn line_of(text: &str, record: &csv::StringRecord) -> usize {
    let mut at = record.position().map_or(0, |position| position.byte() as usize);
    while let Some(rest) = text.get(at..)
        && let Some(end) = rest.find('\n')
        && is_passed_over(&rest[..end])
    {
        at += end + 1;
    }
    text.get(..at).map_or(0, |before| before.matches('\n').count()) + 1
}

/// Where each of [`COLUMNS`] stands, and how many cells a row has.
#[derive(Clone, Copy, Debug)]
struct Columns {
    places: [Option<usize>; COLUMNS.len()],
    count: usize,
}

impl Columns {
    fn cell<'a>(&self, record: &'a csv::StringRecord, column: usize) -> &'a str {
        self.places[column].and_then(|place| record.get(place)).unwrap_or_default()
    }
}

fn columns_of(record: &csv::StringRecord) -> Result<Columns> {
    let names: Vec<String> = record.iter().map(str::to_lowercase).collect();
    let expected = || {
        let (needed, more) = COLUMNS.split_at(NEEDED);
        format!("the columns {} (and, where wanted, {})", needed.join(", "), more.join(", "))
    };
    if let Some(stranger) = names.iter().find(|name| !COLUMNS.contains(&name.as_str())) {
        return Err(misspelt(expected(), stranger, COLUMNS));
    }
    let mut places = [None; COLUMNS.len()];
    for (index, column) in COLUMNS.into_iter().enumerate() {
        let mut found = names.iter().enumerate().filter(|(_, name)| *name == column);
        places[index] = match (found.next(), found.next()) {
            (Some(_), Some(_)) => {
                return Err(Error::malformed(expected(), format!("\"{column}\" twice")));
            }
            (None, _) if index < NEEDED => {
                return Err(Error::malformed(expected(), format!("no \"{column}\"")));
            }
            (found, _) => found.map(|(at, _)| at),
        };
    }
    Ok(Columns { places, count: names.len() })
}

fn row(
    record: &csv::StringRecord,
    columns: &Columns,
    line: usize,
    steps: &StepTable,
) -> Result<FileRow> {
    let place = |column: usize| Place::line(line).with_field(COLUMNS[column]);
    if record.len() != columns.count {
        let error = Error::malformed(
            format!("{} cells, as in the first line", columns.count),
            format!("{} of them", record.len()),
        );
        return Err(error
            .at(Place::line(line))
            .with_hint("a decimal comma needs another mark between cells, such as a semicolon"));
    }
    let cell = |column: usize| columns.cell(record, column);
    let (item, answer, after) = (cell(4), cell(5), cell(6));
    if item.is_empty() {
        if let Some(column) = [5, 6].into_iter().find(|column| !cell(*column).is_empty()) {
            let error = Error::malformed("`item` beside an answer", "none");
            return Err(error.at(place(column)));
        }
        return reading(record, columns, line, steps).map(FileRow::Reading);
    }
    if let Some(column) = (0..3).find(|column| !cell(*column).is_empty()) {
        let error = Error::inconsistent("a row is a reading at a step or an answer to an item");
        return Err(error.at(place(column)));
    }
    let filled = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let shown_a = filled(cell(3)).map(|text| typed_current(&text)).transpose();
    let time_s = filled(after).map(|text| ProtectionProof::typed_time(&text)).transpose();
    Ok(FileRow::Answer(FileAnswer {
        line,
        item: item.to_owned(),
        answer: answer.to_owned(),
        shown_a: shown_a.map_err(|error| error.at(place(3)))?,
        time_s: time_s.map_err(|error| error.at(place(6)))?,
    }))
}

fn reading(
    record: &csv::StringRecord,
    columns: &Columns,
    line: usize,
    steps: &StepTable,
) -> Result<FileReading> {
    let place = |column: usize| Place::line(line).with_field(COLUMNS[column]);
    let cell = |column: usize| columns.cell(record, column);
    let known: Vec<String> = steps.steps().iter().map(|step| step.number.to_string()).collect();
    let step = cell(0).parse().ok().and_then(|number| steps.step(number)).ok_or_else(|| {
        let expected = format!("one of the steps {}", known.join(", "));
        Error::malformed(expected, format!("\"{}\"", cell(0))).at(place(0))
    })?;
    let word = |column: usize, keys: [&str; 2]| {
        let typed = cell(column).to_lowercase().replace([' ', '_'], "-");
        keys.iter().position(|key| *key == typed).ok_or_else(|| {
            misspelt(format!("one of {}", keys.join(", ")), cell(column), keys).at(place(column))
        })
    };
    let (moments, outputs) = ([Moment::AsFound, Moment::AsLeft], [Output::Shorted, Output::Field]);
    let moment = moments[word(1, moments.map(Moment::key))?];
    let output = outputs[word(2, outputs.map(Output::key))?];
    let shown_a = typed_current(cell(3)).map_err(|error| error.at(place(3)))?;
    Ok(FileReading {
        line,
        typed: cell(3).to_owned(),
        candidate: Candidate { step: step.number, moment, output, shown_a },
    })
}

/// Whether a reading may come after another.
fn in_order(before: &Candidate, now: &Candidate) -> Result<()> {
    let wrong = |what: String| {
        Err(Error::inconsistent(what).with_hint(
            "rows stand in the order they were read: shorted before field, the brightest \
                        step first, as found before as left",
        ))
    };
    if before.output != now.output {
        return match before.output {
            Output::Shorted => Ok(()),
            Output::Field => wrong(
                "a reading with the output shorted after one with the field \
                                    connected"
                    .to_owned(),
            ),
        };
    }
    if before.step != now.step {
        if now.step < before.step {
            return Ok(());
        }
        return wrong(format!("step {} after the dimmer step {}", now.step, before.step));
    }
    match (before.moment, now.moment) {
        (Moment::AsFound, Moment::AsFound) => wrong(format!("step {} as found twice", now.step)),
        (Moment::AsLeft, Moment::AsFound) => {
            wrong(format!("step {} as found after it was read as left", now.step))
        }
        (_, Moment::AsLeft) => Ok(()),
    }
}
