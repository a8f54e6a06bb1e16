//! For the instructor: training figures, lessons and exercises.
//!
//! Knows: which figures tell which lesson (`training`), how a lesson written as text becomes a page, slides or a
//! handout (`lesson`), and how problems are made, solved and checked (`exercise`). Refuses to know: screens, the
//! command line, where a file is kept. Every number in a caption, a text or a key is computed by the layers above
//! at the moment of writing.

pub mod exercise;
pub mod lesson;
pub mod training;
