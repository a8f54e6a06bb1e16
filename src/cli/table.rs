use comfy_table::{CellAlignment, Table, presets};

/// Columns of a screen.
const SCREEN: usize = 80;
/// A squeezed column is never narrower than this.
const LEAST: usize = 8;

/// A table without lines: a header, then rows; the columns named are right-aligned.
///
/// Where two blanks between columns would not fit on the screen there is one; where that does not
/// fit either, the cells of the column `squeezed` are cut in their middle. Returns its lines without
/// trailing blanks, the header first.
pub(super) fn lines(
    header: &[&str],
    rows: &[Vec<String>],
    right_aligned: &[usize],
    squeezed: usize,
) -> Vec<String> {
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count());
        cells.chain([header[column].chars().count()]).max().unwrap_or(0)
    };
    let widths: usize = (0..header.len()).map(width).sum();
    let gap = if widths + 2 * header.len() <= SCREEN { 2 } else { 1 };
    let excess = (widths + gap * header.len()).saturating_sub(SCREEN);
    let room = width(squeezed).saturating_sub(excess).max(LEAST);
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(header.iter().copied());
    for row in rows {
        table.add_row(row.iter().enumerate().map(|(column, cell)| {
            if column == squeezed { shortened(cell, room) } else { cell.clone() }
        }));
    }
    for column in table.column_iter_mut() {
        column.set_padding((1, gap as u16 - 1));
    }
    for column in right_aligned {
        if let Some(column) = table.column_mut(*column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}

/// A text of at most `room` characters: what does not fit is left out of its middle, since names of
/// one family differ at their ends.
fn shortened(text: &str, room: usize) -> String {
    let count = text.chars().count();
    if count <= room {
        return text.to_owned();
    }
    let tail = room / 3;
    let head: String = text.chars().take(room - 1 - tail).collect();
    let end: String = text.chars().skip(count - tail).collect();
    format!("{}…{}", head.trim_end(), end.trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_in_its_middle_and_the_line_holds() {
        let rows = vec![vec!["a clamp with a long name, number 7".repeat(2), "1.0".repeat(15)]];
        let lines = lines(&["", "x"], &rows, &[1], 0);
        assert!(lines.iter().all(|line| line.chars().count() <= SCREEN), "{lines:?}");
        assert!(lines[1].contains('…') && lines[1].contains("number 7"), "{lines:?}");
        assert_eq!(shortened("short", 8), "short");
    }
}
