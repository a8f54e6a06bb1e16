//! Which of eight invented meters may set which step, output shorted and field connected.
//!
//! `cargo run --release --example 14_comparison [folder]`

mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("14_comparison", &invented::comparison()?)
}
