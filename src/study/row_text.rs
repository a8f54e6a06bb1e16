use std::fmt::{Debug, Write};

use super::{Cell, Columns};

/// How a table is written as lines of text.
///
/// Numbers are the shortest that read back as the same ones.
pub trait RowText: Debug + Send + Sync {
    /// The line before the first row, when there is one.
    fn head(&self, columns: &Columns) -> Option<String>;

    /// Adds a row with the end of its line.
    fn row(&self, columns: &Columns, cells: &[Cell<'_>], text: &mut String);

    /// The circuit a line belongs to.
    fn circuit(&self, line: &str) -> Option<u64>;
}

/// Comma-separated values with a head; what is absent is empty.
#[derive(Clone, Copy, Debug)]
pub struct CsvText;

impl RowText for CsvText {
    fn head(&self, columns: &Columns) -> Option<String> {
        Some(columns.heads().join(",") + "\n")
    }

    fn row(&self, _columns: &Columns, cells: &[Cell<'_>], text: &mut String) {
        for (at, cell) in cells.iter().enumerate() {
            if at > 0 {
                text.push(',');
            }
            // Writing to a text cannot fail.
            let _ = match cell {
                Cell::Whole(number) => write!(text, "{number}"),
                Cell::Real(Some(value)) => write!(text, "{value}"),
                Cell::Real(None) => Ok(()),
                Cell::Word(word) => write!(text, "{word}"),
            };
        }
        text.push('\n');
    }

    fn circuit(&self, line: &str) -> Option<u64> {
        line.split(',').next()?.parse().ok()
    }
}

/// One JSON object on every line; what is absent is null.
#[derive(Clone, Copy, Debug)]
pub struct JsonLinesText;

impl RowText for JsonLinesText {
    fn head(&self, _columns: &Columns) -> Option<String> {
        None
    }

    fn row(&self, columns: &Columns, cells: &[Cell<'_>], text: &mut String) {
        for (at, (head, cell)) in columns.heads().iter().zip(cells).enumerate() {
            text.push(if at == 0 { '{' } else { ',' });
            // Heads and words are letters, digits, bars and hyphens: nothing to escape.
            let _ = match cell {
                Cell::Whole(number) => write!(text, "\"{head}\":{number}"),
                Cell::Real(Some(value)) => write!(text, "\"{head}\":{value}"),
                Cell::Real(None) => write!(text, "\"{head}\":null"),
                Cell::Word(word) => write!(text, "\"{head}\":\"{word}\""),
            };
        }
        text.push_str("}\n");
    }

    fn circuit(&self, line: &str) -> Option<u64> {
        line.strip_prefix("{\"circuit\":")?.split(',').next()?.parse().ok()
    }
}
