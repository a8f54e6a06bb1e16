use crate::plot::Drawing;

/// A figure in a lesson.
#[derive(Clone, Debug)]
pub struct LessonFigure {
    /// Its name in the lesson.
    pub name: String,
    /// What it shows.
    pub title: String,
    /// Its lesson in one sentence.
    pub caption: String,
    /// The picture, dark lines on white.
    pub drawing: Drawing,
    /// The same, light lines on dark: for the page where the reader's screen is dark.
    pub dark: Drawing,
}
