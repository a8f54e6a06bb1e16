//! How an interval settles as more circuits are solved.
//!
//! `cargo run --release --example 17_convergence [folder]`

mod estimated;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    estimated::write("17_convergence", &estimated::figures()?[2])
}
