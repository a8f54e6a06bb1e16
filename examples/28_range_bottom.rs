//! A clamp at the bottom of its range.
//!
//! `cargo run --release --example 28_range_bottom [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::RangeBottom.figure(&TrainingOptions::default())?;
    invented::write("28_range_bottom", &figure)
}
