//! Drift of the top step, with the limits that leave room for doubt.
//!
//! `cargo run --release --example 31_drift_guarded [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::Drift.figure(&TrainingOptions::default())?;
    invented::write("31_drift_guarded", &figure)
}
