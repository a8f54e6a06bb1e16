//! Mean, deviation and ends of a few values.

use std::collections::VecDeque;

pub(super) fn mean_and_deviation(values: &VecDeque<f64>) -> (f64, f64) {
    let count = values.len().max(1) as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    (mean, (squares / (count - 1.0).max(1.0)).sqrt())
}

pub(super) fn ends(values: &VecDeque<f64>) -> (f64, f64) {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    values.iter().fold(start, |(least, most), value| (least.min(*value), most.max(*value)))
}
