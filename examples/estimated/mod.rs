//! The embedded field with its tolerances for the examples: an invented circuit, and tolerances of our
//! own without a source.

#![allow(dead_code, reason = "each example takes what it needs")]

use std::path::{Path, PathBuf};

use loopcrest::description::{Description, Tolerance};
use loopcrest::error::{Error, Result};
use loopcrest::plot::{
    Drawing, Figure, Palette, convergence_figure, intervals_figure, sensitivity_figure,
};
use loopcrest::study::{CircuitEstimate, EstimateOptions, VariedCircuit};

/// Few enough for a picture drawn while one waits; the command takes more.
const OPTIONS: EstimateOptions = EstimateOptions { circuits: 400, pairs: 48, seed: 1 };

/// The estimate with its three figures: intervals, what is behind them, how they settled.
///
/// # Errors
/// None in practice: the embedded description is read by a test.
pub(crate) fn figures() -> Result<[Figure; 3]> {
    let description = Description::embedded();
    let steps: Vec<u32> = description.steps.steps().iter().map(|step| step.number).collect();
    let circuit = VariedCircuit::new(&description, &steps)?;
    let estimate =
        CircuitEstimate::of(&circuit, &Tolerance::in_use(&description), OPTIONS, &mut ())?;
    let title = "generic regulator with the invented field of the embedded description";
    Ok([
        intervals_figure(&estimate, title),
        sensitivity_figure(&estimate, title),
        convergence_figure(&estimate, title),
    ])
}

/// Writes a figure as SVG and PNG into the folder named by the first argument, or `plots/`.
///
/// # Errors
/// As [`Figure::draw`]; `Io` when a file cannot be written.
#[expect(clippy::print_stdout, reason = "an example tells its reader where the picture went")]
pub(crate) fn write(name: &str, figure: &Figure) -> Result<()> {
    let folder = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("plots"), PathBuf::from);
    let drawing = figure.draw(&Palette::LIGHT)?;
    let put = |path: &Path, bytes: &[u8]| {
        std::fs::write(path, bytes).map_err(|error| Error::io(path, error))
    };
    std::fs::create_dir_all(&folder).map_err(|error| Error::io(&folder, error))?;
    put(&folder.join(format!("{name}.svg")), drawing.svg().as_bytes())?;
    put(&folder.join(format!("{name}.png")), &drawing.png(Drawing::DEFAULT_PNG_WIDTH_PX)?)?;
    println!("{}: {}", folder.join(name).with_extension("svg").display(), figure.caption);
    Ok(())
}
