//! Three currents of one distortion, with three errors of an average-responding meter.
//!
//! `cargo run --release --example 22_same_thd [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::SameThd.figure(&TrainingOptions::default())?;
    invented::write("22_same_thd", &figure)
}
