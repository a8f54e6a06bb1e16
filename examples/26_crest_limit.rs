//! Crest factors against what a meter takes, falling with its indication.
//!
//! `cargo run --release --example 26_crest_limit [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::CrestLimit.figure(&TrainingOptions::default())?;
    invented::write("26_crest_limit", &figure)
}
