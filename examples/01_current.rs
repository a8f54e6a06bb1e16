//! Two periods of a distorted current, its true RMS, and what an average- and a peak-responding
//! meter show of it, against the band of the step.
//!
//! `cargo run --release --example 01_current [folder]`

mod invented;

use loopcrest::assess::StepCase;
use loopcrest::error::Error;
use loopcrest::plot::current_figure;

fn main() -> Result<(), Error> {
    let cases: Vec<StepCase> = invented::cases()?;
    let survey = invented::survey()?;
    // Step 4: the second from the top, where this invented current is 6 % third harmonic.
    invented::write("01_current", &current_figure(&cases[1], &survey.results()[1]))
}
