//! Lamps out and the spikes they make.
//!
//! `cargo run --release --example 25_lamps_out [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::LampsOut.figure(&TrainingOptions::default())?;
    invented::write("25_lamps_out", &figure)
}
