//! The embedded field with its tolerances for the examples: an invented circuit, and tolerances of our
//! own without a source.

use loopcrest::description::{Description, Tolerance};
use loopcrest::error::Result;
use loopcrest::plot::{Figure, convergence_figure, intervals_figure, sensitivity_figure};
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
