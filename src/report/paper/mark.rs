use crate::plot::{Drawing, Weight};

use super::Frame;

/// One thing on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line of text.
    Text {
        /// Left end of its baseline.
        at_pt: (f64, f64),
        /// What is written.
        text: String,
        /// Size of the type.
        size_pt: f64,
        /// Its weight.
        weight: Weight,
        /// How black, from 0 for black to 1 for white.
        grey: f64,
    },
    /// A straight line.
    Line {
        /// From here.
        from_pt: (f64, f64),
        /// To here.
        to_pt: (f64, f64),
        /// Its width.
        width_pt: f64,
        /// How black.
        grey: f64,
    },
    /// A rectangle.
    Area {
        /// Where.
        frame: Frame,
        /// How black its inside.
        grey: f64,
    },
    /// A figure.
    Figure {
        /// Where.
        frame: Frame,
        /// The figure.
        drawing: Drawing,
    },
    /// The head of a section, for the list of contents a viewer shows.
    Bookmark {
        /// Its height.
        y_pt: f64,
        /// Its words.
        text: String,
    },
}

impl Mark {
    /// The same at a lower place.
    pub(super) fn lower_by(self, down_pt: f64) -> Self {
        let lower = |(x_pt, y_pt): (f64, f64)| (x_pt, y_pt + down_pt);
        let lower_frame = |frame: Frame| Frame {
            top_pt: frame.top_pt + down_pt,
            bottom_pt: frame.bottom_pt + down_pt,
            ..frame
        };
        match self {
            Self::Text { at_pt, text, size_pt, weight, grey } => {
                Self::Text { at_pt: lower(at_pt), text, size_pt, weight, grey }
            }
            Self::Line { from_pt, to_pt, width_pt, grey } => {
                Self::Line { from_pt: lower(from_pt), to_pt: lower(to_pt), width_pt, grey }
            }
            Self::Area { frame, grey } => Self::Area { frame: lower_frame(frame), grey },
            Self::Figure { frame, drawing } => Self::Figure { frame: lower_frame(frame), drawing },
            Self::Bookmark { y_pt, text } => Self::Bookmark { y_pt: y_pt + down_pt, text },
        }
    }
}
