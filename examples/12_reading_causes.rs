//! Why a panel meter behind a rectifier is off on step 3 at 60 % load: its error, cause by cause.
//!
//! `cargo run --release --example 12_reading_causes [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("12_reading_causes", &generic::reading_causes()?)
}
