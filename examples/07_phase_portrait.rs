//! Capacitor voltage against iron flux of the generic regulator at half load: three steps.
//!
//! `cargo run --release --example 07_phase_portrait [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("07_phase_portrait", &generic::phase_portrait()?)
}
