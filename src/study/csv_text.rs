use std::fmt::Write;

use super::{Cell, Columns, RowText};

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
