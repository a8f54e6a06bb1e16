//! The error of a true-RMS meter against its bandwidth.
//!
//! `cargo run --release --example 27_bandwidth [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::Bandwidth.figure(&TrainingOptions::default())?;
    invented::write("27_bandwidth", &figure)
}
