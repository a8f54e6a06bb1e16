//! The error of three ideal meters at each brightness step, against the room each band leaves.
//!
//! `cargo run --release --example 02_errors [folder]`

mod invented;

use loopcrest::error::Error;
use loopcrest::plot::error_figure;

fn main() -> Result<(), Error> {
    let (_, survey) = invented::cases_and_survey()?;
    invented::write("02_errors", &error_figure(&survey))
}
