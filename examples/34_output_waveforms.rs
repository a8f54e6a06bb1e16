//! The current of the dimmest step with the output shorted and with the field connected: the same true
//! RMS, another shape.
//!
//! `cargo run --release --example 34_output_waveforms [folder]`

mod invented;
mod recorded;

use loopcrest::error::Result;

fn main() -> Result<()> {
    invented::write("34_output_waveforms", &recorded::waveforms()?)
}
