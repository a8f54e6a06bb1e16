use crate::error::Result;
use crate::report::paper::{Deck, PaperSize};

use super::{LessonSource, Piece, handout, page, slides};

/// A finished lesson: every number computed, ready to be written.
#[derive(Clone, Debug)]
pub struct BuiltLesson {
    /// Its short name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// For whom it is.
    pub audience: String,
    /// How long it takes.
    pub minutes: u32,
    /// What is known or can be done afterwards.
    pub goals: Vec<String>,
    /// Whether the circuit it computes is made up.
    pub is_invented: bool,
    /// The circuit it computes.
    pub circuit: String,
    /// Where its numbers and rules come from.
    pub sources: Vec<LessonSource>,
    /// Its pieces, in order.
    pub pieces: Vec<Piece>,
}

impl BuiltLesson {
    /// One HTML file that needs no other and asks for none: style, script, figures and frames are in it.
    #[must_use]
    pub fn page(&self) -> String {
        page::document(self)
    }

    /// Slides as PDF, 16 to 9: of every section its lists, quotes and figures; its paragraphs where it has neither
    /// lists nor quotes.
    ///
    /// # Errors
    /// `Inconsistent` when a figure cannot be put into the PDF.
    pub fn slides(&self) -> Result<Vec<u8>> {
        self.deck().pdf()
    }

    /// The slides themselves.
    #[must_use]
    pub fn deck(&self) -> Deck {
        slides::deck(self)
    }

    /// A handout as PDF: the whole text with its figures, the answers on sheets of their own at the end.
    ///
    /// # Errors
    /// `Inconsistent` when a figure cannot be put into the PDF.
    pub fn handout(&self, size: PaperSize) -> Result<Vec<u8>> {
        handout::writing(self).pdf(size)
    }

    /// Its figures, sliders and questions, counted.
    #[must_use]
    pub fn counts(&self) -> (usize, usize, usize) {
        let count = |is: fn(&Piece) -> bool| self.pieces.iter().filter(|piece| is(piece)).count();
        (
            count(|piece| matches!(piece, Piece::Figure(_))),
            count(|piece| matches!(piece, Piece::Slider(_))),
            count(|piece| matches!(piece, Piece::Question(_))),
        )
    }
}
