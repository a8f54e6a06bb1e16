//! A resonant source beside a phase-cut one and a sine.
//!
//! `cargo run --release --example 30_sources [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::Sources.figure(&TrainingOptions::default())?;
    invented::write("30_sources", &figure)
}
