//! Names with what belongs to them.

use crate::report::paper::table_layout::{PAD_PT, cell_look};
use crate::report::paper::text_lines::{lines, width_pt};
use crate::report::paper::{Cell, Fact, PaperSize};

use super::{Composer, RULE};

impl Composer<'_> {
    /// Names and values side by side, two or three pairs across where they fit.
    pub(super) fn facts(&mut self, facts: &[Fact]) {
        let pairs = match (self.size, self.part.on_one_sheet) {
            (PaperSize::A5, _) => 1,
            (_, false) => 2,
            (_, true) => 3,
        };
        let slot_pt = self.width_pt() / f64::from(pairs);
        let name_pt = (0.36 * slot_pt).min(self.name_width_pt(facts));
        let mut place = 0;
        let mut row: Vec<(f64, &Fact, f64)> = Vec::new();
        for fact in facts {
            let room_pt = slot_pt - name_pt - 2.0 * PAD_PT;
            let look = cell_look(&fact.value, self.style.text());
            let is_wide = width_pt(fact.value.words(), look) > 1.9 * room_pt;
            if is_wide {
                self.fact_row(&row, name_pt);
                self.fact_row(&[(self.left_pt(), fact, self.width_pt())], name_pt);
                row.clear();
                place = 0;
                continue;
            }
            row.push((f64::from(place).mul_add(slot_pt, self.left_pt()), fact, slot_pt));
            place += 1;
            if place == pairs {
                self.fact_row(&row, name_pt);
                row.clear();
                place = 0;
            }
        }
        self.fact_row(&row, name_pt);
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    fn name_width_pt(&self, facts: &[Fact]) -> f64 {
        let look = self.style.text().muted();
        facts.iter().map(|fact| width_pt(&fact.name, look)).fold(0.0, f64::max) + 2.0 * PAD_PT
    }

    fn fact_row(&mut self, row: &[(f64, &Fact, f64)], name_pt: f64) {
        let look = self.style.text();
        let set: Vec<_> = row
            .iter()
            .map(|(left_pt, fact, slot_pt)| {
                let value_look = cell_look(&fact.value, look);
                let room_pt = slot_pt - name_pt - 2.0 * PAD_PT;
                let name = lines(&fact.name, look.muted(), name_pt - PAD_PT);
                let value = lines(fact.value.words(), value_look, room_pt);
                (*left_pt, name, value, value_look, fact.value == Cell::Blank, *slot_pt)
            })
            .collect();
        let Some(most) = set.iter().map(|cell| cell.1.len().max(cell.2.len())).max() else {
            return;
        };
        let is_pencil = set.iter().any(|cell| cell.4);
        let sheet_lines = (self.sheet_pt() / look.pitch_pt()) as usize;
        for first in (0..most).step_by(sheet_lines.max(1)) {
            let count = (most - first).min(sheet_lines);
            let text_pt = count as f64 * look.pitch_pt();
            let height_pt =
                if is_pencil { text_pt.max(self.style.pencil_line_pt()) } else { text_pt };
            self.need(height_pt);
            let top_pt = self.y_pt;
            for (left_pt, name, value, value_look, is_blank, slot_pt) in &set {
                let start_pt = top_pt + height_pt - text_pt;
                for (lines, look, x_pt) in
                    [(name, look.muted(), *left_pt), (value, *value_look, left_pt + name_pt)]
                {
                    self.y_pt = if is_pencil { start_pt - 2.0 } else { top_pt };
                    for line in lines.iter().skip(first).take(count) {
                        self.set_line(line, look, x_pt);
                    }
                }
                if *is_blank {
                    let y_pt = top_pt + height_pt - 1.5;
                    let right_pt = left_pt + slot_pt - 3.0 * PAD_PT;
                    self.line((left_pt + name_pt, y_pt), (right_pt, y_pt), 0.7, RULE);
                }
            }
            self.y_pt = top_pt + height_pt + 0.2 * self.style.gap_pt();
        }
    }
}
