//! What the field of the embedded description takes of its regulator's rating.
//!
//! `cargo run --release --example 09_load_bar [folder]`

mod field;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("09_load_bar", &field::load_bar()?)
}
