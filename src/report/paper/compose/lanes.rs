//! Blocks in two lanes side by side, read down the left one first.

use crate::report::paper::{Block, Frame, Mark, PaperSize, Sheet};

use super::{Composer, RULE};

/// Between two lanes.
const GUTTER_PT: f64 = 14.0;

impl<'a> Composer<'a> {
    /// Two lanes of nearly the same height where they fit on one sheet; else one block after the
    /// other over the whole width.
    pub(super) fn lanes(&mut self, blocks: &[Block]) {
        let units = units(blocks);
        let sheet = self.lane;
        let lane_pt = 0.5 * (self.width_pt() - GUTTER_PT);
        let left = Frame { right_pt: sheet.left_pt + lane_pt, ..sheet };
        let right = Frame { left_pt: sheet.right_pt - lane_pt, ..sheet };
        let heights_pt: Vec<f64> =
            units.iter().map(|unit| self.set_aside(std::slice::from_ref(unit), left).1).collect();
        let split = best_split(&units, &heights_pt);
        let (mut left_marks, left_pt) = self.set_aside(&units[..split], left);
        let (right_marks, right_pt) = self.set_aside(&units[split..], right);
        let height_pt = left_pt.max(right_pt);
        if self.size == PaperSize::A5 || height_pt > self.sheet_pt() {
            for (index, block) in blocks.iter().enumerate() {
                self.block(block, blocks.get(index + 1));
            }
            return;
        }
        self.need(height_pt);
        let top_pt = self.y_pt;
        left_marks.extend(right_marks);
        for mark in left_marks {
            self.push(mark.lower_by(top_pt));
        }
        let x_pt = 0.5 * (left.right_pt + right.left_pt);
        self.line((x_pt, top_pt), (x_pt, top_pt + height_pt - 2.0), 0.5, RULE);
        self.y_pt = top_pt + height_pt;
    }

    /// What blocks become in a lane without an end that begins at height 0, and how high they are.
    fn set_aside(&self, blocks: &[Block], lane: Frame) -> (Vec<Mark>, f64) {
        let mut aside = Composer {
            writing: self.writing,
            part: self.part,
            size: self.size,
            style: self.style,
            lane: Frame { top_pt: 0.0, bottom_pt: f64::INFINITY, ..lane },
            sheets: vec![Sheet { number: 1, of: 1, marks: Vec::new() }],
            y_pt: 0.0,
        };
        for (index, block) in blocks.iter().enumerate() {
            aside.block(block, blocks.get(index + 1));
        }
        (aside.sheets.into_iter().flat_map(|sheet| sheet.marks).collect(), aside.y_pt)
    }
}

/// The blocks, every check one of its own: a lane may end between any two.
fn units(blocks: &[Block]) -> Vec<Block> {
    let mut units = Vec::new();
    for block in blocks {
        match block {
            Block::Checks(checks) => {
                units.extend(checks.iter().map(|check| Block::Checks(vec![check.clone()])));
            }
            other => units.push(other.clone()),
        }
    }
    units
}

/// How many blocks go to the left for the lower of two heights; no head is left without what it
/// belongs to.
fn best_split(units: &[Block], heights_pt: &[f64]) -> usize {
    let parts = (1..=units.len()).filter(|split| !matches!(units[split - 1], Block::Subheading(_)));
    let tall = |split: usize| {
        let (left, right) = heights_pt.split_at(split);
        left.iter().sum::<f64>().max(right.iter().sum::<f64>())
    };
    parts.min_by(|a, b| tall(*a).total_cmp(&tall(*b))).unwrap_or(units.len())
}
