//! The error of an average-responding meter and the crest factor of the generic regulator, from a
//! short to the rated load, for each step.
//!
//! `cargo run --release --example 06_load_curves [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("06_load_curves", &generic::load_curves()?)
}
