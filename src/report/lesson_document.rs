use schemars::JsonSchema;
use serde::Serialize;

/// Lessons: those included, or one that was built.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LessonDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The lessons.
    pub lessons: Vec<LessonPart>,
    /// Files that were written.
    pub written: Vec<String>,
}

/// One lesson.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LessonPart {
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
    /// Names of its figures.
    pub figures: Vec<String>,
    /// Names of its sliders.
    pub sliders: Vec<String>,
    /// Frames of all its sliders.
    pub frames: usize,
    /// Names of its questions.
    pub questions: Vec<String>,
    /// Where its numbers and rules come from, each with how well that is known.
    pub sources: Vec<String>,
}

impl LessonDocument {
    /// The document of lessons and of files written.
    #[must_use]
    pub fn new(lessons: Vec<LessonPart>, written: Vec<String>) -> Self {
        Self {
            format: super::Document::FORMAT,
            program: super::survey_document::program(),
            lessons,
            written,
        }
    }
}
