//! The output voltage over a cycle as lamps go out.
//!
//! `cargo run --release --example 10_lamps_out_voltage [folder]`

mod field;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("10_lamps_out_voltage", &field::voltage()?)
}
