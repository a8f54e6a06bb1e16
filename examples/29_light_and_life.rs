//! Light and lamp life after setting by a wrong meter.
//!
//! `cargo run --release --example 29_light_and_life [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::LightAndLife.figure(&TrainingOptions::default())?;
    invented::write("29_light_and_life", &figure)
}
