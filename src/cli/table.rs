use comfy_table::{CellAlignment, Table, presets};

/// A table without lines: a header, then rows; columns from `right_from` on are right-aligned.
///
/// Returns its lines without trailing blanks, the header first.
pub(super) fn lines(header: &[&str], rows: &[Vec<String>], right_aligned: &[usize]) -> Vec<String> {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(header.iter().copied());
    for row in rows {
        table.add_row(row);
    }
    for column in right_aligned {
        if let Some(column) = table.column_mut(*column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}
