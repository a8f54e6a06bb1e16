//! Fourteen shapes of the same true RMS current, and the error of three kinds of meter on each.
//!
//! `cargo run --release --example 04_ladder [folder]`

mod invented;

use loopcrest::error::Error;
use loopcrest::plot::ladder_figure;

fn main() -> Result<(), Error> {
    invented::write("04_ladder", &ladder_figure()?)
}
