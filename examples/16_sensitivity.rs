//! Which tolerance is behind an interval: a tornado of first-order and total indices.
//!
//! `cargo run --release --example 16_sensitivity [folder]`

mod estimated;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("16_sensitivity", &estimated::figures()?[1])
}
