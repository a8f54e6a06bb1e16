//! What a reading of a precision clamp proves about the current of the dimmest step.
//!
//! `cargo run --release --example 13_reading_distribution [folder]`

mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("13_reading_distribution", &invented::reading_distribution()?)
}
