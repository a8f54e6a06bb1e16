//! What an invented visit read at every step, as found and as left, against the bands.
//!
//! `cargo run --release --example 33_visit_readings [folder]`

mod invented;
mod recorded;

use loopcrest::error::Result;

fn main() -> Result<()> {
    invented::write("33_visit_readings", &recorded::readings()?)
}
