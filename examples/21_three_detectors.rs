//! Three detectors on one current.
//!
//! `cargo run --release --example 21_three_detectors [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::ThreeDetectors.figure(&TrainingOptions::default())?;
    invented::write("21_three_detectors", &figure)
}
