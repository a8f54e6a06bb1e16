//! The power in a lamp over a cycle, and its mean: why RMS.
//!
//! `cargo run --release --example 20_why_rms [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::WhyRms.figure(&TrainingOptions::default())?;
    invented::write("20_why_rms", &figure)
}
