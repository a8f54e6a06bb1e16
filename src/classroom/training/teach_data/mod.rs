//! Data for teaching: currents to hear, to put on a signal generator and to leaf through.

mod files;
mod flip_book;
mod generator;
mod rows;
mod sound;

pub use files::{TeachData, teach_data_files};
pub use flip_book::FlipBook;
pub use generator::GeneratorTable;
pub use sound::Sound;
