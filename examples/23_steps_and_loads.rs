//! The current of every step, shorted, at half and at full load.
//!
//! `cargo run --release --example 23_steps_and_loads [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::StepsAndLoads.figure(&TrainingOptions::default())?;
    invented::write("23_steps_and_loads", &figure)
}
