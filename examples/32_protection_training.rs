//! How soon the protection must act, as a training figure.
//!
//! `cargo run --release --example 32_protection_training [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::Protection.figure(&TrainingOptions::default())?;
    invented::write("32_protection_training", &figure)
}
