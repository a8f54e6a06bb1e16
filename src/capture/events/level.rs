//! Mean, deviation, median and ends of a few values.

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

/// The middle value, the upper one of two; 0 for none.
pub(super) fn median(values: &VecDeque<f64>) -> f64 {
    let mut sorted: Vec<f64> = values.iter().copied().collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}
