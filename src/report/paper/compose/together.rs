//! Blocks that stay on one sheet.

use crate::report::paper::Block;

use super::Composer;

/// How far the setting has come.
#[derive(Clone, Copy)]
struct Place {
    sheets: usize,
    marks: usize,
    y_pt: f64,
}

impl Composer<'_> {
    /// The blocks on this sheet, else on a new one, else from here on over as many as they take.
    pub(super) fn together(&mut self, blocks: &[Block]) {
        let from = self.place();
        self.in_turn(blocks);
        if self.sheets.len() == from.sheets || from.y_pt <= self.lane.top_pt {
            return;
        }
        self.go_back(from);
        self.begin_sheet();
        self.in_turn(blocks);
        if self.sheets.len() > from.sheets + 1 {
            self.go_back(from);
            self.in_turn(blocks);
        }
    }

    fn in_turn(&mut self, blocks: &[Block]) {
        for (index, block) in blocks.iter().enumerate() {
            self.block(block, blocks.get(index + 1));
        }
    }

    fn place(&self) -> Place {
        let marks = self.sheets.last().map_or(0, |sheet| sheet.marks.len());
        Place { sheets: self.sheets.len(), marks, y_pt: self.y_pt }
    }

    fn go_back(&mut self, place: Place) {
        self.sheets.truncate(place.sheets);
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.marks.truncate(place.marks);
        }
        self.y_pt = place.y_pt;
    }
}
