//! What must not be overlooked, in a frame.

use crate::report::paper::Frame;
use crate::report::paper::look::Look;
use crate::report::paper::text_lines::{Run, lines, run_lines, width_pt};

use super::{BLACK, Composer};

/// How light the inside of the frame is.
const INSIDE: f64 = 0.96;

impl Composer<'_> {
    /// A frame that stays on one sheet as long as it fits on any.
    pub(super) fn caution(&mut self, head: &str, sentences: &[String]) {
        let (look, head_look) = (self.style.text(), self.style.subheading());
        let inset_pt = 8.0;
        let width_pt = self.width_pt() - 2.0 * inset_pt;
        let mut set: Vec<(String, Look)> =
            lines(head, head_look, width_pt).into_iter().map(|line| (line, head_look)).collect();
        for sentence in sentences {
            set.extend(lines(sentence, look, width_pt).into_iter().map(|line| (line, look)));
        }
        let mut rest = set.as_slice();
        while !rest.is_empty() {
            let whole_pt: f64 = rest.iter().map(|(_, look)| look.pitch_pt()).sum();
            let all_pt = whole_pt + 2.0 * inset_pt;
            self.need(all_pt.min(self.sheet_pt()));
            let mut fitting = 0;
            let mut height_pt = 2.0 * inset_pt;
            while let Some((_, look)) = rest.get(fitting) {
                if fitting > 0 && height_pt + look.pitch_pt() > self.room_pt() + 0.01 {
                    break;
                }
                height_pt += look.pitch_pt();
                fitting += 1;
            }
            let top_pt = self.y_pt;
            let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
            self.push(crate::report::paper::Mark::Area { frame, grey: INSIDE });
            self.outline(frame, 1.1, BLACK);
            self.y_pt += inset_pt;
            let (now, later) = rest.split_at(fitting);
            for (line, look) in now {
                self.set_line(line, *look, self.left_pt() + inset_pt);
            }
            self.y_pt = top_pt + height_pt + self.style.gap_pt();
            rest = later;
        }
    }

    /// The sentences one after the other, each with its first words in bold; a frame on one sheet.
    pub(super) fn caution_in_brief(&mut self, head: &str, sentences: &[String]) {
        let look = self.style.text();
        let (inset_x_pt, inset_y_pt) = (6.0, 4.0);
        let mut runs = vec![Run { text: format!("{head}:"), look: look.bold() }];
        for sentence in sentences {
            let (lead, rest) = lead_words(sentence);
            runs.push(Run { text: lead.to_owned(), look: look.bold() });
            runs.push(Run { text: rest.to_owned(), look });
        }
        let set = run_lines(&runs, self.width_pt() - 2.0 * inset_x_pt);
        let height_pt = set.len() as f64 * look.pitch_pt() + 2.0 * inset_y_pt;
        self.need(height_pt);
        let top_pt = self.y_pt;
        let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
        self.push(crate::report::paper::Mark::Area { frame, grey: INSIDE });
        self.outline(frame, 1.1, BLACK);
        self.y_pt += inset_y_pt;
        for line in set {
            let (top_pt, mut x_pt) = (self.y_pt, self.left_pt() + inset_x_pt);
            for Run { text, look } in line {
                self.y_pt = top_pt;
                self.set_line(&text, look, x_pt);
                x_pt += width_pt(&text, look) + width_pt(" ", look);
            }
            self.y_pt = top_pt + look.pitch_pt();
        }
        self.y_pt = top_pt + height_pt + self.style.gap_pt();
    }
}

/// The words that say what a sentence is about: up to its first stop, seven at most.
pub(in crate::report::paper) fn lead_words(sentence: &str) -> (&str, &str) {
    const MOST_WORDS: usize = 7;
    let stop = sentence.find(['.', ':', ',']).map_or(sentence.len(), |at| at + 1);
    let seventh = sentence.match_indices(' ').nth(MOST_WORDS - 1).map(|(at, _)| at);
    let (lead, rest) = sentence.split_at(seventh.map_or(stop, |at| at.min(stop)));
    (lead, rest.trim_start())
}
