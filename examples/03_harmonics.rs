//! The harmonics of a distorted current, with their phases and the total harmonic distortion.
//!
//! `cargo run --release --example 03_harmonics [folder]`

mod invented;

use loopcrest::error::Error;
use loopcrest::plot::harmonics_figure;

fn main() -> Result<(), Error> {
    let survey = invented::survey()?;
    invented::write("03_harmonics", &harmonics_figure(&survey.results()[invented::CHOSEN]))
}
