use super::{LessonFigure, Question, Slider, Words};

/// One piece of a finished lesson.
#[derive(Clone, Debug)]
pub enum Piece {
    /// The head of a section (1) or of a part of one (2 and more).
    Heading(usize, Words),
    /// A paragraph.
    Paragraph(Words),
    /// A list; numbered where the first is true.
    Items(bool, Vec<Words>),
    /// What must stay in mind: a block quote.
    Key(Vec<Words>),
    /// A table: its head and its rows.
    Table(Vec<Words>, Vec<Vec<Words>>),
    /// A figure.
    Figure(Box<LessonFigure>),
    /// A figure that moves.
    Slider(Box<Slider>),
    /// A question.
    Question(Box<Question>),
}
