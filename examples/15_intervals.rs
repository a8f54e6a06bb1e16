//! What tolerances leave open of crest factor, meter error and peak voltage, step by step.
//!
//! `cargo run --release --example 15_intervals [folder]`

mod estimated;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("15_intervals", &estimated::figures()?[0])
}
