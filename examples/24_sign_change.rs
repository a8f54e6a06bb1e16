//! The error of an average-responding meter changing its sign with the load.
//!
//! `cargo run --release --example 24_sign_change [folder]`

mod invented;

use loopcrest::classroom::training::{TrainingFigure, TrainingOptions};
use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    let figure = TrainingFigure::SignChange.figure(&TrainingOptions::default())?;
    invented::write("24_sign_change", &figure)
}
