//! The same true RMS current on the same load from a resonant source, a phase-cut source and a sine.
//!
//! `cargo run --release --example 08_contrast [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("08_contrast", &generic::contrast()?)
}
