//! For the instructor: training figures, lessons, exercises and a demonstration.
//!
//! Knows: which figures tell which lesson (`training`), how a lesson written as text becomes a page, slides or a
//! handout (`lesson`), how problems are made, solved and checked (`exercise`), and what a demonstration shows as
//! choices are turned (`demonstration`). Refuses to know: screens, the
//! command line, where a file is kept. Every number in a caption, a text or a key is computed by the layers above
//! at the moment of writing.

pub mod demonstration;
pub mod exercise;
pub mod lesson;
pub mod training;
