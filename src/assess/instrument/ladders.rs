//! The values a data sheet may be asked for, each from the most to the least demanding.
//!
//! Round numbers of the kind data sheets have: our own choice, no source.

use crate::meter::TransformerClass;

pub(super) const ACCURACY_RATIO: [f64; 12] =
    [0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.0125, 0.015, 0.02, 0.025, 0.03, 0.05];
/// Counts that belong to every accuracy.
pub(super) const COUNTS: f64 = 3.0;
pub(super) const RESOLUTION_A: [f64; 7] = [0.0001, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05];
pub(super) const BANDWIDTH_HZ: [f64; 8] = [100e3, 50e3, 20e3, 10e3, 5e3, 2e3, 1e3, 500.0];
/// No class stands for a clamp whose error is within the accuracy.
pub(super) const CLAMP_CLASS: [Option<TransformerClass>; 4] = [
    None,
    Some(TransformerClass::Half),
    Some(TransformerClass::One),
    Some(TransformerClass::Three),
];
pub(super) const RATED_A: [f64; 6] = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
pub(super) const POSITION_RATIO: [f64; 6] = [0.0, 0.001, 0.002, 0.005, 0.01, 0.02];

/// Full scales, rising: the lowest that holds the top step is asked for.
pub(super) const FULL_SCALE_A: [f64; 8] = [5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 100.0];
/// Crest-factor capabilities at full scale, rising.
pub(super) const CREST_FACTOR: [f64; 9] = [1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
/// Working voltages, rising.
pub(super) const WORKING_V: [f64; 9] =
    [300.0, 600.0, 1000.0, 1500.0, 2500.0, 3600.0, 5000.0, 7500.0, 10_000.0];

/// The lowest rung of a rising ladder that is not below a value.
pub(super) fn at_least(ladder: &[f64], value: f64) -> Option<f64> {
    ladder.iter().copied().find(|rung| *rung >= value)
}
