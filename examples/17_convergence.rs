//! How an interval settles as more circuits are solved.
//!
//! `cargo run --release --example 17_convergence [folder]`

mod estimated;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("17_convergence", &estimated::figures()?[2])
}
