use crate::plot::text_width_px;

use super::look::Look;
use super::{Frame, Mark};

/// One side of paper with everything on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its number within its part, from 1 on.
    pub number: usize,
    /// Sheets of that part.
    pub of: usize,
    /// What stands on it.
    pub marks: Vec<Mark>,
}

impl Sheet {
    /// Its texts, in the order they are set.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
    }

    /// The room each text and each figure takes, with its words.
    #[must_use]
    pub fn boxes_pt(&self) -> Vec<(Frame, &str)> {
        let place = |mark: &Mark| match mark {
            Mark::Text { at_pt: (x, y), text, size_pt, weight, .. } => {
                let look = Look { size_pt: *size_pt, weight: *weight, is_muted: false };
                let right = x + text_width_px(text, *size_pt, *weight);
                Some(Frame::new(*x, y - look.above_pt(), right, y + look.below_pt()))
            }
            Mark::Figure { frame, .. } => Some(*frame),
            _ => None,
        };
        self.marks
            .iter()
            .filter_map(|mark| {
                let words =
                    if let Mark::Text { text, .. } = mark { text.as_str() } else { "a figure" };
                place(mark).map(|frame| (frame, words))
            })
            .collect()
    }
}
