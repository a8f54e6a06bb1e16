//! How the top step of an invented regulator drifts over the years, and when it will leave its band.
//!
//! `cargo run --release --example 19_drift [folder]`

mod invented;
mod visits;

use loopcrest::error::{Error, Result};

fn main() -> Result<()> {
    let figure = visits::drift()?;
    figure.map_or_else(
        || Err(Error::inconsistent("the invented visits hold the top step")),
        |figure| invented::write("19_drift", &figure),
    )
}
