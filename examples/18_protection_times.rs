//! Time to trip of the generic regulator's protection against the multiple of rated current, with the
//! output shorted and at 60 % load.
//!
//! `cargo run --release --example 18_protection_times [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("18_protection_times", &generic::protection_times()?)
}
