//! The currents and voltages of every branch of the generic regulator over one period: step 3 at
//! half load.
//!
//! `cargo run --release --example 05_branches [folder]`

mod generic;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("05_branches", &generic::branches()?)
}
