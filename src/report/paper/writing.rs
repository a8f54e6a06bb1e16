use jiff::Timestamp;

use crate::error::Result;

use super::{PaperSize, Part, Sheet};
use super::{compose, html, pdf, text_lines};

/// A text for paper and screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Writing {
    /// Its title.
    pub title: String,
    /// What wrote it, at the foot of every sheet.
    pub program: String,
    /// When what it says was written down, as the PDF states it; `None` for a form to fill in.
    pub at: Option<Timestamp>,
    /// Its parts.
    pub parts: Vec<Part>,
}

impl Writing {
    /// The language of everything this program writes.
    pub const LANGUAGE: &'static str = "en";

    /// The sheets, with every line and every text at its place.
    #[must_use]
    pub fn sheets(&self, size: PaperSize) -> Vec<Sheet> {
        compose::sheets(self, size)
    }

    /// One HTML file that needs no other: no script, no font, no picture from elsewhere.
    #[must_use]
    pub fn html(&self, size: PaperSize) -> String {
        html::document(self, size)
    }

    /// The PDF: real text in embedded fonts, figures as lines. One that states when it was written
    /// keeps PDF/A-2b.
    ///
    /// Characters the embedded fonts lack stand as question marks; [`Self::lacking`] says which.
    ///
    /// # Errors
    /// `Inconsistent` for a picture that is no SVG.
    pub fn pdf(&self, size: PaperSize) -> Result<Vec<u8>> {
        pdf::document(self, &self.sheets(size), (size.width_pt(), size.height_pt()))
    }

    /// The characters the PDF cannot show, each once, in the order they come.
    #[must_use]
    pub fn lacking(&self) -> String {
        let mut lacking = String::new();
        let words = self.parts.iter().flat_map(Part::words).chain([self.program.as_str()]);
        for character in words.flat_map(text_lines::lacking) {
            if !lacking.contains(character) {
                lacking.push(character);
            }
        }
        lacking
    }
}
