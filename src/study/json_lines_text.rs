use std::fmt::Write;

use super::{Cell, Columns, RowText};

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
