//! Tables, their heads repeated on every sheet.

use crate::report::paper::look::Look;
use crate::report::paper::table_layout::{PAD_PT, TableLayout, cell_look};
use crate::report::paper::text_lines::{lines, width_pt};
use crate::report::paper::{Align, Cell, Frame, Mark, Table};

use super::{BLACK, Composer, RULE, SHADE};

impl Composer<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        let layout = TableLayout::new(table, self.style, self.width_pt());
        let caption = lines(&table.caption, self.style.text().bold(), self.width_pt());
        let caption = if table.caption.is_empty() { Vec::new() } else { caption };
        let caption_look = self.style.text().bold();
        let head_pt = layout.head_height_pt();
        let first_pt = layout.rows.first().map_or(0.0, |row| layout.height_pt(row));
        let caption_pt = caption.len() as f64 * caption_look.pitch_pt();
        self.need(caption_pt + head_pt + first_pt);
        for line in &caption {
            self.set_line(line, caption_look, self.left_pt());
        }
        self.y_pt += 0.2 * self.style.gap_pt();
        self.table_head(table, &layout);
        let most_lines =
            ((self.sheet_pt() - head_pt - 2.0 * PAD_PT) / layout.look.pitch_pt()) as usize;
        for (cells, lines) in table.rows.iter().zip(&layout.rows) {
            let longest = lines.iter().map(Vec::len).max().unwrap_or(1);
            for first in (0..longest.max(1)).step_by(most_lines.max(1)) {
                let piece: Vec<Vec<String>> = lines
                    .iter()
                    .map(|lines| lines.iter().skip(first).take(most_lines).cloned().collect())
                    .collect();
                if self.room_pt() < layout.height_pt(&piece) {
                    self.begin_sheet();
                    self.table_head(table, &layout);
                }
                self.table_row(table, &layout, cells, &piece);
            }
        }
        self.y_pt += self.style.gap_pt();
    }

    fn table_head(&mut self, table: &Table, layout: &TableLayout) {
        let height_pt = layout.head_height_pt();
        let top_pt = self.y_pt;
        let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
        self.push(Mark::Area { frame, grey: SHADE });
        self.rule(top_pt, 0.9, BLACK);
        let look = layout.look.bold();
        let mut x_pt = self.left_pt();
        for ((column, lines), width_pt) in
            table.columns.iter().zip(&layout.heads).zip(&layout.widths_pt)
        {
            let text_pt = lines.len() as f64 * look.pitch_pt();
            self.y_pt = top_pt + height_pt - PAD_PT - text_pt;
            self.cell_lines(lines, look, column.align, (x_pt, *width_pt));
            x_pt += width_pt;
        }
        self.y_pt = top_pt + height_pt;
        self.rule(self.y_pt, 0.6, BLACK);
    }

    fn table_row(
        &mut self,
        table: &Table,
        layout: &TableLayout,
        cells: &[Cell],
        lines: &[Vec<String>],
    ) {
        let height_pt = layout.height_pt(lines);
        let top_pt = self.y_pt;
        let is_pencil = layout.least_row_pt > 0.0;
        let mut x_pt = self.left_pt();
        for (k, width_pt) in layout.widths_pt.iter().enumerate() {
            let look = cell_look(&cells[k], layout.look);
            let text_pt = lines[k].len() as f64 * look.pitch_pt();
            self.y_pt = top_pt + if is_pencil { 0.5 * (height_pt - text_pt) } else { PAD_PT - 0.5 };
            self.cell_lines(&lines[k], look, table.columns[k].align, (x_pt, *width_pt));
            if is_pencil && k > 0 {
                self.line((x_pt, top_pt), (x_pt, top_pt + height_pt), 0.5, RULE);
            }
            x_pt += width_pt;
        }
        self.y_pt = top_pt + height_pt;
        self.rule(self.y_pt, 0.5, RULE);
    }

    fn cell_lines(&mut self, lines: &[String], look: Look, align: Align, place: (f64, f64)) {
        let (x_pt, cell_pt) = place;
        for line in lines {
            let left_pt = match align {
                Align::Start => x_pt + PAD_PT,
                Align::End => x_pt + cell_pt - PAD_PT - width_pt(line, look),
            };
            self.set_line(line, look, left_pt);
        }
    }
}
