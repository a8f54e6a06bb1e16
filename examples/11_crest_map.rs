//! The crest factor over brightness step and share of lamps out.
//!
//! `cargo run --release --example 11_crest_map [folder]`

mod field;
mod invented;

use loopcrest::error::Error;

fn main() -> Result<(), Error> {
    invented::write("11_crest_map", &field::crest_map()?)
}
