use std::str::FromStr;

use crate::error::{Error, Result};

/// Which column of a table carries the current.
///
/// # Example
/// ```
/// use loopcrest::capture::ColumnChoice;
/// assert_eq!("2".parse(), Ok::<_, std::convert::Infallible>(ColumnChoice::Number(2)));
/// assert_eq!("Ia".parse(), Ok::<_, std::convert::Infallible>(ColumnChoice::Name("Ia".into())));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum ColumnChoice {
    /// The first column in amperes or named like a current, else the only one there is.
    #[default]
    Auto,
    /// The column of the file with this number, counted from 1.
    Number(usize),
    /// The column with this name: exactly, or else without regard to upper and lower case.
    Name(String),
}

impl FromStr for ColumnChoice {
    type Err = std::convert::Infallible;

    /// Digits are a column number, `auto` is the automatic choice, anything else is a name.
    fn from_str(text: &str) -> std::result::Result<Self, Self::Err> {
        let text = text.trim();
        Ok(match text.parse::<usize>() {
            Ok(number) => Self::Number(number),
            Err(_) if text.is_empty() || text.eq_ignore_ascii_case("auto") => Self::Auto,
            Err(_) => Self::Name(text.to_owned()),
        })
    }
}

/// The place in `columns` (number in the file and name) that was asked for; `None` for `Auto`.
///
/// # Errors
/// `Inconsistent`, with the columns listed, when there is no such column.
pub(super) fn find_column(
    choice: &ColumnChoice,
    columns: &[(usize, Option<&str>)],
) -> Result<Option<usize>> {
    let (found, wanted) = match choice {
        ColumnChoice::Auto => return Ok(None),
        ColumnChoice::Number(number) => {
            (columns.iter().position(|(n, _)| n == number), format!("number {number}"))
        }
        ColumnChoice::Name(name) => {
            let exact = columns.iter().position(|(_, n)| *n == Some(name.as_str()));
            let folded = || {
                columns
                    .iter()
                    .position(|(_, n)| n.is_some_and(|n| n.to_lowercase() == name.to_lowercase()))
            };
            (exact.or_else(folded), format!("\"{name}\""))
        }
    };
    found.map(Some).ok_or_else(|| {
        Error::inconsistent(format!("there is no data column {wanted}"))
            .with_hint(format!("data columns: {}", list(columns)))
    })
}

/// The columns in words: `2 (Ia), 3 (Ib)`.
pub(super) fn list(columns: &[(usize, Option<&str>)]) -> String {
    let each = columns.iter().map(|(number, name)| match name {
        Some(name) => format!("{number} ({name})"),
        None => number.to_string(),
    });
    each.collect::<Vec<_>>().join(", ")
}
