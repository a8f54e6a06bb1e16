use std::f64::consts::{SQRT_2, TAU};

use num_complex::Complex64;

use crate::error::{Error, Result};
use crate::spectrum::Spectrum;
use crate::waveform::Waveform;

/// The harmonic lines of a current, averaged over its periods, with what they scatter.
///
/// # Formula
/// Each period is first turned to the mean phase of its fundamental, so that a mains frequency that
/// wanders blurs no high order. Scatter of one real part over P periods and the orders 2 to H:
/// s² = Σ |a_ph − ā_h|² / (2 (H−1) (P−1)); of the mean: s/√P.
///
/// # Validity
/// The noise is taken as white over the orders used and independent from period to period.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// RMS phasors of the orders 1, 2, ...
    pub rms_a: Vec<Complex64>,
    /// Standard uncertainty of each real part; `None` when a single period says nothing about it.
    pub noise_a: Option<f64>,
    /// Degrees of freedom of that.
    pub noise_freedom: usize,
}

impl Lines {
    /// Below this share of the RMS the lines are as exact as cutting and transforming are: a record
    /// without noise still has this much.
    pub const LEAST_NOISE_RATIO: f64 = 1e-6;

    /// The lines of a waveform up to an order, as far as it knows them.
    ///
    /// # Errors
    /// `Inconsistent` when there is no fundamental or fewer than three orders.
    pub fn of(waveform: &Waveform, highest_order: usize) -> Result<Self> {
        let orders = highest_order.min(waveform.highest_order());
        if orders < 3 {
            return Err(Error::inconsistent(format!(
                "a period holds {orders} harmonic orders only, too few to fit anything to"
            ))
            .with_hint("record with more samples per period"));
        }
        let periods = (0..waveform.periods())
            .map(|at| {
                let row = waveform.periods_a().row(at).to_vec();
                let n = waveform.samples_per_period();
                Ok(phasors(&Waveform::new(row, n, waveform.sample_interval_s())?, orders))
            })
            .collect::<Result<Vec<_>>>()?;
        let mean_first: Complex64 = periods.iter().map(|lines| lines[0]).sum();
        if mean_first.norm() <= 0.0 {
            return Err(Error::inconsistent("the current has no fundamental"));
        }
        let turned: Vec<Vec<Complex64>> =
            periods.iter().map(|own| turned(own, mean_first.arg() - own[0].arg())).collect();
        let count = turned.len() as f64;
        let mean: Vec<Complex64> = (0..orders)
            .map(|at| turned.iter().map(|own| own[at]).sum::<Complex64>() / count)
            .collect();
        let noise_freedom = 2 * (orders - 1) * (turned.len() - 1);
        let squares: f64 = turned
            .iter()
            .flat_map(|own| own.iter().zip(&mean).skip(1))
            .map(|(own, mean)| (own - mean).norm_sqr())
            .sum();
        let least_a = Self::LEAST_NOISE_RATIO * mean[0].norm();
        let noise_a = (noise_freedom > 0)
            .then(|| (squares / noise_freedom as f64 / count).sqrt().max(least_a));
        Ok(Self { rms_a: mean, noise_a, noise_freedom })
    }

    /// RMS of all lines together.
    #[must_use]
    pub fn total_rms_a(&self) -> f64 {
        rms_a(&self.rms_a)
    }
}

/// RMS phasors of one averaged period.
pub(super) fn phasors(waveform: &Waveform, orders: usize) -> Vec<Complex64> {
    let spectrum = Spectrum::of(waveform);
    let line = |order| spectrum.line(order).map_or((0.0, 0.0), |line| (line.rms_a, line.phase_rad));
    (1..=orders)
        .map(line)
        .map(|(rms_a, phase_rad)| Complex64::from_polar(rms_a, phase_rad))
        .collect()
}

/// The same current a little earlier: its fundamental turned by an angle, every order in proportion.
pub(super) fn turned(lines: &[Complex64], by_rad: f64) -> Vec<Complex64> {
    let turn = |(at, line): (usize, &Complex64)| {
        line * Complex64::from_polar(1.0, (at + 1) as f64 * by_rad)
    };
    lines.iter().enumerate().map(turn).collect()
}

pub(super) fn rms_a(lines: &[Complex64]) -> f64 {
    lines.iter().map(Complex64::norm_sqr).sum::<f64>().sqrt()
}

/// One period of the lines on a grid.
pub(super) fn waveform(lines: &[Complex64], samples: usize, frequency_hz: f64) -> Result<Waveform> {
    let sample = |k: usize| {
        let angle_rad = TAU * (k as f64 + 0.5) / samples as f64;
        lines
            .iter()
            .enumerate()
            .map(|(at, line)| {
                SQRT_2 * line.norm() * ((at + 1) as f64 * angle_rad + line.arg()).sin()
            })
            .sum()
    };
    let samples_a = (0..samples).map(sample).collect();
    let period = Waveform::new(samples_a, samples, 1.0 / (frequency_hz * samples as f64))?;
    Ok(period.with_highest_order(lines.len()))
}
