//! The converter's codes and the display's digits.

use crate::meter::{Converter, Range, Sheet};

use super::Signal;
use super::chain::Arrived;
use super::sums::Sums;
use super::windowing::Windowed;

/// The reading made of codes; `None` when the meter is analogue or its span is not stated.
///
/// # Validity
/// Without a place where the window begins, every sample of the grid is turned into its code: as
/// many updates do. With one, the samples are those the converter's own rate takes from there. A
/// sample is that of the grid's cell it falls into.
pub(super) fn converted_a(
    sheet: &Sheet,
    range: &Range,
    signal: &Signal<'_>,
    arrived: &Arrived<'_>,
    window: &Windowed,
) -> Option<f64> {
    let Converter::Sampling { sample_rate_hz, .. } = sheet.converter else { return None };
    let code_a = sheet.converter.code_a(sheet.crest.as_ref()?.peak_limit_a(range))?;
    let grid_a = &arrived.samples_a;
    let codes_a: Vec<f64> = match window.start {
        None => grid_a.iter().map(|i_a| code(*i_a, code_a)).collect(),
        Some(start) => {
            let stride = 1.0 / (sample_rate_hz * signal.waveform.sample_interval_s());
            let taken = (window.length / stride).floor().max(1.0) as usize;
            let cell = |k: usize| (start + k as f64 * stride) as usize % grid_a.len();
            (0..taken).map(|k| code(grid_a[cell(k)], code_a)).collect()
        }
    };
    Some(Sums::of(&codes_a).with(&arrived.noise).read_a(sheet.detector))
}

/// The nearest code: adding and taking away a number this large leaves no room for a fraction.
fn code(i_a: f64, code_a: f64) -> f64 {
    const NO_FRACTION: f64 = 1.5 * (1_u64 << 52) as f64;
    ((i_a / code_a + NO_FRACTION) - NO_FRACTION) * code_a
}

/// The nearest number the display can show.
pub(super) fn rounded_a(value_a: f64, resolution_a: f64) -> f64 {
    let steps = (value_a / resolution_a).round();
    // Dividing by the whole number of steps in an ampere gives 6.6, where multiplying gives
    // 6.6000000000000005.
    let per_ampere = (1.0 / resolution_a).round();
    if (per_ampere * resolution_a - 1.0).abs() < 1e-12 {
        steps / per_ampere
    } else {
        steps * resolution_a
    }
}
