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
    /// The picture.
    pub drawing: Drawing,
}
