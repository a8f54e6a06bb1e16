//! What is filled in with a pencil.

use crate::report::paper::text_lines::{lines, width_pt};
use crate::report::paper::{Blank, Frame};

use super::{BLACK, Composer, RULE, fitted};

impl Composer<'_> {
    /// A box to tick; its left upper corner.
    fn tick_box(&mut self, (left_pt, top_pt): (f64, f64), side_pt: f64) {
        let frame = Frame::new(left_pt, top_pt, left_pt + side_pt, top_pt + side_pt);
        self.outline(frame, 0.9, BLACK);
    }

    pub(super) fn checks(&mut self, checks: &[String]) {
        let look = self.style.text();
        let side_pt = 1.25 * look.size_pt;
        let indent_pt = side_pt + 0.8 * look.size_pt;
        for check in checks {
            let lines = lines(check, look, self.width_pt() - indent_pt);
            let text_pt = lines.len() as f64 * look.pitch_pt();
            let height_pt = text_pt.max(side_pt) + self.style.check_gap_ratio() * look.size_pt;
            self.need(height_pt);
            let top_pt = self.y_pt;
            self.tick_box((self.left_pt(), top_pt), side_pt);
            for line in &lines {
                self.set_line(line, look, self.left_pt() + indent_pt);
            }
            self.y_pt = top_pt + height_pt;
        }
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    pub(super) fn signatures(&mut self, who: &[String]) {
        let look = self.style.small();
        let height_pt = self.style.signature_pt() + look.pitch_pt();
        let gap_pt = 14.0;
        let slot_pt = 0.5 * (self.width_pt() - gap_pt);
        for pair in who.chunks(2) {
            self.need(height_pt);
            let top_pt = self.y_pt;
            let line_pt = top_pt + height_pt - look.pitch_pt() - 2.0;
            for (index, words) in pair.iter().enumerate() {
                let x_pt = (index as f64).mul_add(slot_pt + gap_pt, self.left_pt());
                self.line((x_pt, line_pt), (x_pt + slot_pt, line_pt), 0.8, BLACK);
                self.y_pt = line_pt + 2.0;
                let words = fitted(words, look, slot_pt);
                self.set_line(&words, look, x_pt);
            }
            self.y_pt = top_pt + height_pt + 0.5 * self.style.gap_pt();
        }
    }

    pub(super) fn pencil_lines(&mut self, head: &str, count: usize) {
        let look = self.style.question();
        let words = lines(head, look, self.width_pt());
        self.need(words.len() as f64 * look.pitch_pt() + self.style.pencil_pt());
        for line in &words {
            self.set_line(line, look, self.left_pt());
        }
        for _ in 0..count {
            let height_pt = self.style.pencil_line_pt();
            self.need(height_pt);
            self.y_pt += height_pt;
            let y_pt = self.y_pt - 1.0;
            self.rule(y_pt, 0.7, RULE);
        }
        self.y_pt += self.style.gap_pt();
    }

    /// Words, gaps to write in and boxes to tick on one line, the gaps all alike; what does not fit
    /// goes on to the next line.
    pub(super) fn fill_in(&mut self, blanks: &[Blank]) {
        let look = self.style.text();
        let height_pt = self.style.pencil_pt();
        let (side_pt, space_pt) = (1.25 * look.size_pt, 0.5 * look.size_pt);
        let fixed_pt = |blank: &Blank| match blank {
            Blank::Words(words) => width_pt(words, look) + space_pt,
            Blank::Tick(words) => side_pt + width_pt(words, look) + 2.5 * space_pt,
            Blank::Gap => space_pt,
        };
        let mut rest = blanks;
        while !rest.is_empty() {
            let (mut taken, mut used_pt, mut gaps) = (0, 0.0, 0_u32);
            for blank in rest {
                let is_gap = *blank == Blank::Gap;
                let needed_pt = fixed_pt(blank) + if is_gap { Self::LEAST_GAP_PT } else { 0.0 };
                if taken > 0 && used_pt + needed_pt > self.width_pt() {
                    break;
                }
                (taken, used_pt, gaps) = (taken + 1, used_pt + needed_pt, gaps + u32::from(is_gap));
            }
            let more_pt = (self.width_pt() - used_pt).max(0.0) / f64::from(gaps.max(1));
            self.need(height_pt);
            let bottom_pt = self.y_pt + height_pt;
            let text_top_pt = bottom_pt - look.pitch_pt() - 2.0;
            let mut x_pt = self.left_pt();
            let (now, later) = rest.split_at(taken);
            for blank in now {
                match blank {
                    Blank::Words(words) => {
                        self.y_pt = text_top_pt;
                        let words = fitted(words, look, self.right_pt() - x_pt);
                        self.set_line(&words, look, x_pt);
                        x_pt += width_pt(&words, look) + space_pt;
                    }
                    Blank::Gap => {
                        let end_pt = x_pt + Self::LEAST_GAP_PT + more_pt;
                        self.line((x_pt, bottom_pt - 2.0), (end_pt, bottom_pt - 2.0), 0.7, RULE);
                        x_pt = end_pt + space_pt;
                    }
                    Blank::Tick(words) => {
                        self.tick_box((x_pt, bottom_pt - side_pt - 3.0), side_pt);
                        x_pt += side_pt + space_pt;
                        self.y_pt = text_top_pt;
                        let words = fitted(words, look, self.right_pt() - x_pt);
                        self.set_line(&words, look, x_pt);
                        x_pt += width_pt(&words, look) + 1.5 * space_pt;
                    }
                }
            }
            self.y_pt = bottom_pt;
            rest = later;
        }
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    /// A number by hand with a glove on: 16 mm.
    const LEAST_GAP_PT: f64 = 45.0;
}
