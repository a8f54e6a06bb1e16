//! Lessons: a text with figures, sliders and questions, as one page without outside parts, as slides and as a handout.
//!
//! Knows: how a lesson is written (a head in TOML between two lines `+++`, a body in Markdown with markers in
//! double braces), how every number in it comes from a situation solved at the moment of writing, and how it becomes
//! a page, slides and sheets. Refuses to know: where files are kept.
//!
//! Conventions: a marker that names nothing known is an error with its place; a figure or a frame that cannot be
//! computed fails the whole lesson with its reason; the same lesson gives the same bytes whatever the number of
//! threads; the page asks for nothing from outside and says so in its own content policy; the cautions stand at
//! the head of everything written.

mod build;
mod built;
mod frames;
mod handout;
#[expect(clippy::module_inception, reason = "one public type per file, named after it")]
mod lesson;
mod lesson_figure;
mod markdown;
mod page;
mod piece;
mod plan;
mod quantity;
mod question;
mod raw;
mod reader;
mod slider;
mod slider_page;
mod slides;
mod source;
mod text;
mod words;

pub use built::BuiltLesson;
pub use lesson::Lesson;
pub use lesson_figure::LessonFigure;
pub use piece::Piece;
pub use quantity::Quantity;
pub use question::{Question, QuestionKind};
pub use slider::{Slider, SliderAxis, SliderFrame, SliderReading};
pub use source::{LessonSource, SourceKnown};
pub use words::Words;
