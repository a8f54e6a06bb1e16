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
