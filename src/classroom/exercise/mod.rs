//! Exercises: problems drawn from a seed, their worked solutions by the same engine, and the checking
//! of answers.
//!
//! Knows: kinds of problem, how a case is drawn, what the engine says of it, what is printed, when an
//! answer is right. Refuses to know: the terminal, where files are kept.
//!
//! Conventions: everything is invented and says so. What is printed is all that counts: a solution
//! uses printed numbers only, and a case is kept only where these lead to what the engine says of the
//! case before it was rounded, to half of the tolerance. Every problem has dice of its own
//! (`uncertainty::Stream`), so that a set is the same on any number of threads.

mod answer;
mod answer_file;
mod answer_unit;
mod bank;
mod documents;
mod draw;
mod exercise_set;
mod level;
mod make;
mod mark;
mod pages;
mod printed;
mod problem;
mod problem_kind;
mod set_order;
mod text;

pub use answer::Answer;
pub use answer_file::{AnswerFile, FiledAnswer};
pub use answer_unit::{AnswerUnit, ReadNumber};
pub use bank::Bank;
pub use documents::{exercises_document, key_document, key_of_text};
pub use exercise_set::{ExerciseSet, ExerciseSheet};
pub use level::Level;
pub use mark::{Mark, marks_document};
pub use pages::{key_writing, questions_writing};
pub use printed::Printed;
pub use problem::{Given, GivenTable, Problem};
pub use problem_kind::ProblemKind;
pub use set_order::SetOrder;
pub use text::{answers_template, key_text, marks_text, questions_text};
