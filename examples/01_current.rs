//! Two periods of a distorted current, its true RMS, and what an average- and a peak-responding
//! meter show of it, against the band of the step.
//!
//! `cargo run --release --example 01_current [folder]`

mod invented;

use loopcrest::error::Error;
use loopcrest::plot::current_figure;

fn main() -> Result<(), Error> {
    let (cases, survey) = invented::cases_and_survey()?;
    let chosen = invented::CHOSEN;
    invented::write("01_current", &current_figure(&cases[chosen], &survey.results()[chosen]))
}
