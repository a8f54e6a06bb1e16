use std::path::Path;

use crate::description::{from_toml, misspelt};
use crate::error::{Error, Place, Result};
use crate::report::ExerciseKeyDocument;

/// Answers from a file: a table of text with the columns `sheet`, `question` and `answer`, or TOML.
///
/// In a table a comma, a semicolon or a tab stands between cells, empty lines are passed over, and a
/// line `# code: ...` names the set the answers belong to; `sheet` may be left out of a file that
/// belongs to a set of one. In TOML each `[[sheet]]` has its `number` and a table `answers` of
/// questions.
#[derive(Clone, Debug, PartialEq)]
pub struct AnswerFile {
    /// The code of the set, where the file names it, with its place.
    pub code: Option<(String, Place)>,
    /// The answers, in the order of the file.
    pub answers: Vec<FiledAnswer>,
}

/// One answer of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct FiledAnswer {
    /// Number of the sheet.
    pub sheet: u32,
    /// Number of the question.
    pub question: u32,
    /// What was written, letter for letter; may be nothing.
    pub written: String,
    /// Where in the file.
    pub place: Place,
}

/// Largest file of answers that is read.
const MAX_BYTES: u64 = 4 << 20;
const COLUMNS: [&str; 3] = ["sheet", "question", "answer"];

impl AnswerFile {
    /// Reads a file: TOML when its name ends so, otherwise a table.
    ///
    /// # Errors
    /// `Io` when it cannot be read; otherwise as [`Self::of_table`] and [`Self::of_toml`], with the
    /// file named.
    pub fn read(file: &Path) -> Result<Self> {
        let failed = |source| Error::io(file, source);
        let about = std::fs::metadata(file).map_err(failed)?;
        if about.len() > MAX_BYTES {
            let expected = format!("a file of answers of at most {MAX_BYTES} bytes");
            return Err(Error::malformed(expected, format!("{} bytes", about.len())).in_file(file));
        }
        let text = String::from_utf8(std::fs::read(file).map_err(failed)?).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Error::malformed("text in UTF-8", format!("other bytes at position {at}")).in_file(file)
        })?;
        let is_toml = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
        let read = if is_toml { Self::of_toml(&text) } else { Self::of_table(&text) };
        read.map_err(|error| error.in_file(file))
    }

    /// Reads a table.
    ///
    /// # Errors
    /// `Malformed` for a column that is missing or unknown, a row with other cells than the head, a
    /// number of sheet or question that is none; `Inconsistent` for a question answered twice. Each
    /// names its line.
    pub fn of_table(text: &str) -> Result<Self> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let code = code_line(text);
        let mut columns: Option<(char, Vec<usize>)> = None;
        let mut answers: Vec<FiledAnswer> = Vec::new();
        for (line, row) in (1..).zip(text.lines()) {
            if row.trim().is_empty() || row.starts_with('#') {
                continue;
            }
            let place = || Place::line(line);
            let Some((separator, heads)) = &columns else {
                let separator = [';', '\t', ','].into_iter().find(|mark| row.contains(*mark));
                let separator = separator.unwrap_or(',');
                let heads = heads_of(&cells_of(row, separator, line)?)
                    .map_err(|error| error.at(place()))?;
                columns = Some((separator, heads));
                continue;
            };
            let cells = cells_of(row, *separator, line)?;
            if cells.iter().all(|cell| cell.is_empty()) {
                continue;
            }
            if cells.len() != heads.len() {
                let expected = format!("{} cells", heads.len());
                let error = Error::malformed(expected, format!("{} of them", cells.len()));
                return Err(error.at(place()).with_hint(
                    "a decimal comma or a list of steps needs another mark between cells, such as a \
                     semicolon, or quotes around it",
                ));
            }
            let cell = |column: usize| {
                heads.iter().position(|head| *head == column).map(|at| cells[at].as_str())
            };
            let number = |column: usize, text: &str| {
                text.parse::<u32>().ok().filter(|number| *number > 0).ok_or_else(|| {
                    let expected = format!("the number of a {}, from 1", COLUMNS[column]);
                    Error::malformed(expected, format!("\"{text}\""))
                        .at(place().with_field(COLUMNS[column]))
                })
            };
            answers.push(FiledAnswer {
                sheet: cell(0).map_or(Ok(1), |text| number(0, text))?,
                question: number(1, cell(1).unwrap_or_default())?,
                written: cell(2).unwrap_or_default().to_owned(),
                place: place().with_field("answer"),
            });
        }
        Self { code, answers }.checked()
    }

    /// Reads TOML.
    ///
    /// # Errors
    /// As [`Self::of_table`].
    pub fn of_toml(text: &str) -> Result<Self> {
        let raw: raw::Answers = toml::from_str(text).map_err(|error| from_toml(text, &error))?;
        let place = |span: std::ops::Range<usize>| Place::in_text(text, span);
        let code = raw.code.map(|code| {
            let at = place(code.span());
            (code.into_inner(), at)
        });
        let mut answers = Vec::new();
        for sheet in raw.sheet {
            for (question, written) in sheet.answers {
                let at = place(written.span()).with_field(question.clone());
                let number =
                    question.parse().ok().filter(|number| *number > 0).ok_or_else(|| {
                        Error::malformed(
                            "the number of a question, from 1",
                            format!("\"{question}\""),
                        )
                        .at(at.clone())
                    })?;
                answers.push(FiledAnswer {
                    sheet: sheet.number,
                    question: number,
                    written: written.into_inner().text().map_err(|error| error.at(at.clone()))?,
                    place: at,
                });
            }
        }
        answers.sort_by_key(|answer| (answer.place.line, answer.place.column));
        Self { code, answers }.checked()
    }

    fn checked(self) -> Result<Self> {
        if self.answers.is_empty() {
            let expected = "a line with the columns sheet, question, answer and one row at least";
            return Err(Error::malformed(expected, "none"));
        }
        for (at, answer) in self.answers.iter().enumerate() {
            let is_same = |other: &&FiledAnswer| {
                (other.sheet, other.question) == (answer.sheet, answer.question)
            };
            if let Some(before) = self.answers[..at].iter().find(is_same) {
                return Err(Error::inconsistent(format!(
                    "sheet {}, question {} is answered on line {} already",
                    answer.sheet, answer.question, before.place.line
                ))
                .at(answer.place.clone()));
            }
        }
        Ok(self)
    }

    /// Refuses a key to other sheets, where the file says which it belongs to.
    pub(super) fn check_set(&self, key: &ExerciseKeyDocument) -> Result<()> {
        match &self.code {
            Some((code, place)) if *code != key.code => Err(Error::inconsistent(format!(
                "the answers belong to sheets with the code {code}, the key has {} (set {})",
                key.code, key.set
            ))
            .at(place.clone())
            .with_hint("the code stands on every sheet and on its key")),
            _ => Ok(()),
        }
    }
}

/// "# code: 1A2B-3C4D", anywhere.
fn code_line(text: &str) -> Option<(String, Place)> {
    (1..).zip(text.lines()).find_map(|(line, row)| {
        let code = row.strip_prefix('#')?.trim().strip_prefix("code:")?.trim();
        let code: String = code.chars().take_while(|c| !c.is_whitespace()).collect();
        (!code.is_empty()).then(|| (code, Place::line(line)))
    })
}

/// The cells of one line.
fn cells_of(row: &str, separator: char, line: usize) -> Result<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(u8::try_from(separator).unwrap_or(b','))
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(row.as_bytes());
    match reader.records().next() {
        Some(Ok(record)) => Ok(record.iter().map(str::to_owned).collect()),
        Some(Err(error)) => {
            Err(Error::malformed("a row of cells", error.to_string()).at(Place::line(line)))
        }
        None => Ok(Vec::new()),
    }
}

/// For every column of the file its place among those that are known.
fn heads_of(cells: &[String]) -> Result<Vec<usize>> {
    let expected = || format!("the columns {}", COLUMNS.join(", "));
    let mut heads = Vec::new();
    for cell in cells {
        let name = cell.to_lowercase();
        let Some(column) = COLUMNS.iter().position(|column| *column == name) else {
            return Err(misspelt(expected(), cell, COLUMNS));
        };
        if heads.contains(&column) {
            return Err(Error::malformed(expected(), format!("\"{cell}\" twice")));
        }
        heads.push(column);
    }
    match [1, 2].into_iter().find(|column| !heads.contains(column)) {
        Some(missing) => Err(Error::malformed(expected(), format!("no \"{}\"", COLUMNS[missing]))),
        None => Ok(heads),
    }
}

/// What a TOML file of answers says.
mod raw {
    use std::collections::BTreeMap;

    use serde::Deserialize;
    use toml::Spanned;

    use crate::error::{Error, Result};

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Answers {
        pub(super) code: Option<Spanned<String>>,
        pub(super) sheet: Vec<Sheet>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Sheet {
        #[serde(default = "one")]
        pub(super) number: u32,
        pub(super) answers: BTreeMap<String, Spanned<Written>>,
    }

    fn one() -> u32 {
        1
    }

    /// A text, a bare number or a list of steps.
    #[derive(Deserialize)]
    #[serde(transparent)]
    pub(super) struct Written(toml::Value);

    impl Written {
        pub(super) fn text(self) -> Result<String> {
            let word = |value: &toml::Value| match value {
                toml::Value::String(text) => Some(text.clone()),
                toml::Value::Integer(number) => Some(number.to_string()),
                toml::Value::Float(number) => Some(number.to_string()),
                _ => None,
            };
            let text = match &self.0 {
                toml::Value::Array(list) if list.is_empty() => Some("none".to_owned()),
                toml::Value::Array(list) => {
                    let words: Option<Vec<String>> = list.iter().map(word).collect();
                    words.map(|words| words.join(", "))
                }
                other => word(other),
            };
            text.ok_or_else(|| {
                Error::malformed(
                    "a text in quotes, a number or a list of steps",
                    self.0.to_string(),
                )
            })
        }
    }
}
