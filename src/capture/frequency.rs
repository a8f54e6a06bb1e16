use std::ops::RangeInclusive;

use realfft::RealFftPlanner;

use crate::error::{Error, Result};
use crate::waveform::is_constant;

use super::harmonic_fit::HarmonicFit;

/// Harmonics that take part in the search for the frequency.
const SEARCH_HARMONICS: usize = 15;
/// Harmonics that are modelled once it is found.
const MODEL_HARMONICS: usize = 40;
/// A harmonic counts up to this part of the sample rate.
const BAND_RATIO: f64 = 0.49;
/// More samples than this are not transformed for the first guess.
const GUESS_SAMPLES: usize = 1 << 20;
/// Fewer periods than this are searched by fitting and not by a transform: the lines are too wide.
const FEW_PERIODS: f64 = 5.0;
/// Half width of the search, in lines of 1/T, and its step; with many periods the first value is
/// better than the narrower width.
const SEARCH_LINES: f64 = 0.6;
const NARROW_SEARCH_LINES: f64 = 0.2;
const MANY_PERIODS: f64 = 100.0;
const SEARCH_STEP_LINES: f64 = 0.05;
/// Golden sections after the search: 0.1 lines shrink to 8e-4 lines.
const SECTIONS: usize = 10;
/// Half width of the parabola that ends the search: what is minimised is a parabola there.
const PARABOLA_LINES: f64 = 2e-3;
/// Part of the alternating power that must be periodic for the frequency to mean anything.
const LEAST_PERIODIC_RATIO: f64 = 0.05;

/// Least part of the fundamental in the power of all harmonics. Alternating pulses of 2 % duty still
/// have 4 %; a fundamental without power is a subharmonic of the true one.
const LEAST_FUNDAMENTAL_RATIO: f64 = 0.01;

/// The frequency of a stretch, with the harmonics that go with it.
#[derive(Debug)]
pub(super) struct Fundamental {
    pub(super) frequency_hz: f64,
    /// From what the fit leaves, taken as white noise.
    pub(super) standard_uncertainty_hz: Option<f64>,
    /// Part of the alternating power that the fit explains.
    pub(super) periodic_ratio: f64,
    pub(super) fit: HarmonicFit,
}

/// Harmonics below the band limit, with enough samples for each unknown.
pub(super) fn harmonics(count: usize, period_samples: f64, most: usize) -> usize {
    let in_band = (BAND_RATIO * period_samples).floor() as usize;
    in_band.min(most).min(count.saturating_sub(1) / 3).max(1)
}

/// A first value: the largest line of a Hann-windowed transform between the limits, interpolated; for
/// few periods the best fit of few harmonics on a fine grid.
///
/// # Errors
/// `Inconsistent` when the samples are constant or show no line between the limits.
pub(super) fn guess_hz(
    samples: &[f64],
    sample_rate_hz: f64,
    range_hz: &RangeInclusive<f64>,
) -> Result<f64> {
    let from = samples.len().saturating_sub(GUESS_SAMPLES) / 2;
    let part = &samples[from..samples.len().min(from + GUESS_SAMPLES)];
    let mean = part.iter().sum::<f64>() / part.len() as f64;
    let (low, high) = part
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(*x), high.max(*x)));
    if is_constant(low, high) {
        return Err(Error::inconsistent("the signal is constant: there is no period in it")
            .with_hint("is this the right column, and was the current on?"));
    }
    let line_hz = sample_rate_hz / part.len() as f64;
    let few = range_hz.start() / line_hz < FEW_PERIODS && *range_hz.end() < 2.0 * range_hz.start();
    if few {
        let mean_free: Vec<f64> = part.iter().map(|x| x - mean).collect();
        let steps = ((range_hz.end() - range_hz.start()) / (0.1 * line_hz)).ceil().max(1.0);
        let step_hz = (range_hz.end() - range_hz.start()) / steps;
        let grid = (0..=steps as usize).map(|k| range_hz.start() + k as f64 * step_hz);
        return best_of(&mean_free, sample_rate_hz, 3, grid).ok_or_else(|| none(range_hz, None));
    }
    transform_peak_hz(part, mean, sample_rate_hz, range_hz)
}

fn transform_peak_hz(
    part: &[f64],
    mean: f64,
    sample_rate_hz: f64,
    range_hz: &RangeInclusive<f64>,
) -> Result<f64> {
    // Zeros behind the samples place four bins on each line, so that a parabola finds its top.
    let length = (4 * part.len()).next_power_of_two();
    let mut input = vec![0.0; length];
    let turn = std::f64::consts::TAU / part.len() as f64;
    for (k, (place, x)) in input.iter_mut().zip(part).enumerate() {
        *place = (x - mean) * (0.5 - 0.5 * (turn * (k as f64 + 0.5)).cos());
    }
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let mut lines = transform.make_output_vec();
    if transform.process(&mut input, &mut lines).is_err() {
        return Err(none(range_hz, None));
    }
    let power: Vec<f64> = lines.iter().map(num_complex::Complex::norm_sqr).collect();
    let bin_hz = sample_rate_hz / length as f64;
    let first = (range_hz.start() / bin_hz).ceil().max(1.0) as usize;
    let last = ((range_hz.end() / bin_hz).floor() as usize).min(power.len().saturating_sub(2));
    let is_top = |k: usize| power[k] >= power[k - 1] && power[k] >= power[k + 1];
    let strongest = |from: usize, to: usize| {
        (from..=to).filter(|k| is_top(*k)).max_by(|a, b| power[*a].total_cmp(&power[*b]))
    };
    let Some(top) = strongest(first, last).filter(|k| power[*k] > 0.0) else {
        let elsewhere = strongest(1, power.len().saturating_sub(2)).map(|k| k as f64 * bin_hz);
        return Err(none(range_hz, elsewhere));
    };
    let log = |k: usize| power[k].max(f64::MIN_POSITIVE).ln();
    let (a, b, c) = (log(top - 1), log(top), log(top + 1));
    let bend = a - 2.0 * b + c;
    let shift = if bend < 0.0 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    Ok((top as f64 + shift) * bin_hz)
}

fn none(range_hz: &RangeInclusive<f64>, elsewhere_hz: Option<f64>) -> Error {
    let hint = match elsewhere_hz {
        Some(hz) => {
            format!("the strongest line is near {hz:.1} Hz: widen the range, or check the rate")
        }
        None => "widen the range, or check the sample rate".to_owned(),
    };
    Error::inconsistent(format!(
        "no mains frequency between {} and {} Hz in this signal",
        range_hz.start(),
        range_hz.end()
    ))
    .with_hint(hint)
}

fn radians(frequency_hz: f64, sample_rate_hz: f64) -> f64 {
    std::f64::consts::TAU * frequency_hz / sample_rate_hz
}

/// What the fit leaves at a frequency; infinite where there is no fit.
fn left(samples: &[f64], sample_rate_hz: f64, frequency_hz: f64, most: usize) -> f64 {
    let orders = harmonics(samples.len(), sample_rate_hz / frequency_hz, most);
    HarmonicFit::new(samples, radians(frequency_hz, sample_rate_hz), orders)
        .map_or(f64::INFINITY, |fit| fit.left_square_sum)
}

fn best_of(
    samples: &[f64],
    sample_rate_hz: f64,
    most: usize,
    grid: impl Iterator<Item = f64>,
) -> Option<f64> {
    grid.map(|hz| (hz, left(samples, sample_rate_hz, hz, most)))
        .filter(|(_, left)| left.is_finite())
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(hz, _)| hz)
}

/// The frequency that leaves least after a fit of mean and harmonics, near a first value; or the
/// given one, unchanged.
///
/// # Validity
/// The uncertainty is the least possible one for white noise (Cramér and Rao): var(ω) =
/// 24 σ² / (N³ Σ h² A_h²), σ² from what the fit leaves; drift of the mains is not in it.
///
/// # Errors
/// `Inconsistent` when hardly anything of the signal has that period.
pub(super) fn refine(
    samples: &[f64],
    sample_rate_hz: f64,
    start_hz: f64,
    fixed: bool,
    range_hz: &RangeInclusive<f64>,
) -> Result<Fundamental> {
    let n = samples.len() as f64;
    let mean = samples.iter().sum::<f64>() / n;
    let mean_free: Vec<f64> = samples.iter().map(|x| x - mean).collect();
    let frequency_hz = if fixed { start_hz } else { search(&mean_free, sample_rate_hz, start_hz) };
    let orders = harmonics(samples.len(), sample_rate_hz / frequency_hz, MODEL_HARMONICS);
    let fit = HarmonicFit::new(samples, radians(frequency_hz, sample_rate_hz), orders)
        .ok_or_else(|| none(range_hz, None))?;
    let total: f64 = mean_free.iter().map(|x| x * x).sum();
    let periodic_ratio = 1.0 - (fit.left_square_sum / total).min(1.0);
    if periodic_ratio < LEAST_PERIODIC_RATIO {
        return Err(none(range_hz, None));
    }
    let (order, fundamental_ratio) = fit.strongest();
    if fundamental_ratio < LEAST_FUNDAMENTAL_RATIO && !fixed {
        return Err(none(range_hz, Some(order as f64 * frequency_hz)));
    }
    let freedom = n - 2.0 * orders as f64 - 2.0;
    let standard_uncertainty_hz = (!fixed && freedom > 0.0).then(|| {
        let variance = fit.left_square_sum / freedom;
        let omega = (24.0 * variance / (n.powi(3) * fit.sharpness())).sqrt();
        omega * sample_rate_hz / std::f64::consts::TAU
    });
    Ok(Fundamental { frequency_hz, standard_uncertainty_hz, periodic_ratio, fit })
}

fn search(mean_free: &[f64], sample_rate_hz: f64, start_hz: f64) -> f64 {
    let line_hz = sample_rate_hz / mean_free.len() as f64;
    let step_hz = SEARCH_STEP_LINES * line_hz;
    let many = start_hz / line_hz > MANY_PERIODS;
    let width = if many { NARROW_SEARCH_LINES } else { SEARCH_LINES };
    let steps = (width / SEARCH_STEP_LINES).round() as i32;
    let grid = (-steps..=steps).map(|k| start_hz + f64::from(k) * step_hz).filter(|hz| *hz > 0.0);
    let best_hz = best_of(mean_free, sample_rate_hz, SEARCH_HARMONICS, grid).unwrap_or(start_hz);
    // Every fit of the narrowing has the same number of harmonics: a step in it would be a step in
    // what is minimised.
    let orders = harmonics(mean_free.len(), sample_rate_hz / best_hz, SEARCH_HARMONICS);
    let left = |hz: f64| {
        HarmonicFit::new(mean_free, radians(hz, sample_rate_hz), orders)
            .map_or(f64::INFINITY, |fit| fit.left_square_sum)
    };
    let near_hz = golden(left, best_hz - step_hz, best_hz + step_hz);
    let half_hz = PARABOLA_LINES * line_hz;
    let (a, b, c) = (left(near_hz - half_hz), left(near_hz), left(near_hz + half_hz));
    let bend = a - 2.0 * b + c;
    let shift = if bend > 0.0 { (0.5 * (a - c) / bend).clamp(-1.0, 1.0) } else { 0.0 };
    if shift.is_finite() { near_hz + shift * half_hz } else { near_hz }
}

/// The place of the smallest value between two ends.
fn golden(value: impl Fn(f64) -> f64 + Copy, mut low: f64, mut high: f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut value_a, mut value_b) = (value(a), value(b));
    for _ in 0..SECTIONS {
        if value_a <= value_b {
            (high, b, value_b) = (b, a, value_a);
            a = high - ratio * (high - low);
            value_a = value(a);
        } else {
            (low, a, value_a) = (a, b, value_b);
            b = low + ratio * (high - low);
            value_b = value(b);
        }
    }
    0.5 * (low + high)
}
