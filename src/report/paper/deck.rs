use crate::error::Result;

use super::{Picture, pdf, slide_layout};
use super::{Sheet, Writing};

/// Slides for a projector, 16 to 9.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// Its title.
    pub title: String,
    /// What wrote it, at the foot of every slide.
    pub program: String,
    /// Its slides; one whose text does not fit goes on on another.
    pub slides: Vec<Slide>,
}

/// One slide: a head, lines, and below them a figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Slide {
    /// Its head.
    pub head: String,
    /// Its lines.
    pub lines: Vec<SlideLine>,
    /// Its figure.
    pub picture: Option<Picture>,
}

/// A line of a slide; it is broken where it is too long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SlideLine {
    /// Plain.
    Text(String),
    /// What stands out.
    Strong(String),
    /// One of a list.
    Item(String),
}

impl Deck {
    /// Width of a slide.
    pub const WIDTH_PT: f64 = 960.0;
    /// Height of a slide.
    pub const HEIGHT_PT: f64 = 540.0;

    /// The slides with every line at its place.
    #[must_use]
    pub fn sheets(&self) -> Vec<Sheet> {
        slide_layout::sheets(self)
    }

    /// The PDF: real text in embedded fonts, figures as lines.
    ///
    /// # Errors
    /// `Inconsistent` for a picture that is no SVG.
    pub fn pdf(&self) -> Result<Vec<u8>> {
        let writing = Writing {
            title: self.title.clone(),
            program: self.program.clone(),
            at: None,
            parts: Vec::new(),
        };
        pdf::document(&writing, &self.sheets(), (Self::WIDTH_PT, Self::HEIGHT_PT))
    }
}
