//! The harmonics of a distorted current, with their phases and the total harmonic distortion.
//!
//! `cargo run --release --example 03_harmonics [folder]`

mod invented;

use loopcrest::error::Error;
use loopcrest::plot::harmonics_figure;

fn main() -> Result<(), Error> {
    let (_, survey) = invented::cases_and_survey()?;
    let result = &survey.results()[invented::CHOSEN];
    invented::write("03_harmonics", &harmonics_figure(result))
}
