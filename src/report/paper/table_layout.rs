//! Widths of columns and lines of cells.

use super::look::Look;
use super::style::Style;
use super::text_lines::{lines, widest_word_pt, width_pt};
use super::{Cell, RowHeight, Table};

/// Free room at either side of a cell's text.
pub(super) const PAD_PT: f64 = 3.0;
/// A blank takes at least a number written by hand: 16 mm.
const BLANK_PT: f64 = 45.0;
/// What is left of a column that has to be broken.
const LEAST_PT: f64 = 24.0;

/// A table whose columns have widths.
#[derive(Debug)]
pub(super) struct TableLayout {
    /// Type of the cells.
    pub(super) look: Look,
    /// Width of each column, pads included.
    pub(super) widths_pt: Vec<f64>,
    /// The lines of each head.
    pub(super) heads: Vec<Vec<String>>,
    /// The lines of each cell of each row.
    pub(super) rows: Vec<Vec<Vec<String>>>,
    /// Least height of a row.
    pub(super) least_row_pt: f64,
}

impl TableLayout {
    /// The largest type with which every word fits unbroken; in the smallest, words are broken.
    pub(super) fn new(table: &Table, style: Style, room_pt: f64) -> Self {
        let mut sizes_pt: Vec<f64> = style.table_sizes_pt().collect();
        let smallest_pt = sizes_pt.pop().expect("there are sizes of type");
        let fitting = sizes_pt.into_iter().find_map(|size_pt| {
            let look = style.table(size_pt);
            let least = least_pt(table, look, f64::INFINITY);
            (least.iter().sum::<f64>() <= room_pt).then_some((look, least))
        });
        let (look, least) = fitting.unwrap_or_else(|| {
            let look = style.table(smallest_pt);
            (look, squeezed(least_pt(table, look, f64::INFINITY), room_pt))
        });
        let widths_pt = spread(table, look, least, room_pt);
        let cell_lines = |text: &str, look: Look, column: usize| {
            lines(text, look, widths_pt[column] - 2.0 * PAD_PT)
        };
        let heads = table.columns.iter().enumerate();
        let heads = heads.map(|(k, column)| cell_lines(&column.head, look.bold(), k)).collect();
        let row = |cells: &Vec<Cell>| {
            let cells = cells.iter().enumerate();
            cells.map(|(k, cell)| cell_lines(cell.words(), cell_look(cell, look), k)).collect()
        };
        Self {
            look,
            heads,
            rows: table.rows.iter().map(row).collect(),
            least_row_pt: match table.height {
                RowHeight::Text => 0.0,
                RowHeight::Pencil => style.pencil_pt(),
            },
            widths_pt,
        }
    }

    /// Height of a row of cells with these lines.
    pub(super) fn height_pt(&self, cells: &[Vec<String>]) -> f64 {
        let most = cells.iter().map(Vec::len).max().unwrap_or(1);
        (most as f64).mul_add(self.look.pitch_pt(), 2.0 * PAD_PT - 1.0).max(self.least_row_pt)
    }

    /// Height of the heads.
    pub(super) fn head_height_pt(&self) -> f64 {
        let most = self.heads.iter().map(Vec::len).max().unwrap_or(1);
        (most as f64).mul_add(self.look.pitch_pt(), 2.0 * PAD_PT)
    }
}

/// The type of a cell.
pub(super) fn cell_look(cell: &Cell, look: Look) -> Look {
    match cell {
        Cell::Strong(_) => look.bold(),
        Cell::Absent(_) => look.muted(),
        Cell::Text(_) | Cell::Blank => look,
    }
}

/// What each column needs so that no word is broken.
fn least_pt(table: &Table, look: Look, most_pt: f64) -> Vec<f64> {
    widths_of(table, look, |text, look| widest_word_pt(text, look).min(most_pt))
}

fn widths_of(table: &Table, look: Look, width: impl Fn(&str, Look) -> f64) -> Vec<f64> {
    let column = |(k, column): (usize, &super::Column)| {
        let cells = table.rows.iter().map(|row| match &row[k] {
            Cell::Blank => BLANK_PT,
            cell => width(cell.words(), cell_look(cell, look)),
        });
        cells.fold(widest_word_pt(&column.head, look.bold()), f64::max) + 2.0 * PAD_PT
    };
    table.columns.iter().enumerate().map(column).collect()
}

/// Widths brought down to the room, the widest first.
fn squeezed(mut widths_pt: Vec<f64>, room_pt: f64) -> Vec<f64> {
    while widths_pt.iter().sum::<f64>() > room_pt {
        let Some(widest) = widths_pt.iter_mut().max_by(|a, b| a.total_cmp(b)) else { break };
        if *widest <= LEAST_PT {
            // More columns than the sheet has room for: all alike.
            let share_pt = room_pt / widths_pt.len() as f64;
            widths_pt.fill(share_pt);
            break;
        }
        *widest -= 2.0;
    }
    widths_pt
}

/// The room that is left, given to the columns that would use it.
fn spread(table: &Table, look: Look, least_pt: Vec<f64>, room_pt: f64) -> Vec<f64> {
    let wanted = widths_of(table, look, |text, look| {
        // A sentence is content with some lines.
        width_pt(text, look).min(0.45 * room_pt)
    });
    let left_pt = (room_pt - least_pt.iter().sum::<f64>()).max(0.0);
    let missing: Vec<f64> =
        wanted.iter().zip(&least_pt).map(|(wanted, least)| (wanted - least).max(0.0)).collect();
    let missing_pt: f64 = missing.iter().sum();
    let given = if missing_pt > 0.0 { (left_pt / missing_pt).min(1.0) } else { 0.0 };
    let mut widths_pt: Vec<f64> = least_pt
        .iter()
        .zip(&missing)
        .map(|(least, missing)| given.mul_add(*missing, *least))
        .collect();
    // What nobody needs goes to the blanks, or to all.
    let over_pt = (room_pt - widths_pt.iter().sum::<f64>()).max(0.0);
    let is_blank = |k: usize| table.rows.iter().any(|row| row[k] == Cell::Blank);
    let blanks = (0..widths_pt.len()).filter(|k| is_blank(*k)).count();
    let takers = if blanks > 0 { blanks } else { widths_pt.len() };
    for (k, width_pt) in widths_pt.iter_mut().enumerate() {
        if blanks == 0 || is_blank(k) {
            *width_pt += over_pt / takers as f64;
        }
    }
    widths_pt
}
