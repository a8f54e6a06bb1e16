use std::f64::consts::{PI, SQRT_2};
use std::ops::RangeInclusive;

use ndarray::Array1;
use num_complex::Complex64;

use crate::error::{Error, Result};
use crate::waveform::{Coupling, Waveform};

use super::{HarmonicLine, plans};

/// The harmonics of a waveform.
///
/// # Formula
/// c_h = (2j/N) e^{−jπh/N} Σ_k i_k e^{−2πjhk/N} over one averaged period, so that
/// i = Re Σ (c_h / j) e^{jhωt}; the factor e^{−jπh/N} puts t = 0 at the left edge of the first cell.
///
/// # Validity
/// Averaging the periods first gives exactly the harmonic bins of the transform over all periods,
/// at a fraction of its cost (`law_averaged_period_gives_the_bins_of_the_long_transform`).
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    fundamental_hz: f64,
    mean_a: f64,
    /// Complex peak amplitudes of orders 1, 2, ... below half the samples of a period.
    peaks_a: Array1<Complex64>,
    /// Amplitude of the alternating component of an even grid: ± in step with the samples.
    alternating_a: f64,
    samples_per_period: usize,
    /// True RMS of the waveform with the mean removed, all periods.
    rms_ac_a: f64,
    /// Orders above are on the grid but mean nothing.
    highest_order: usize,
}

/// Part of the true RMS below which a line is the rounding of the transform: ε log₂ N for the
/// longest periods is 27 ε, and some more for the lines' own arithmetic.
const ROUNDING_RATIO: f64 = 64.0 * f64::EPSILON;

impl Spectrum {
    /// The harmonics of a waveform, up to half its samples per period.
    #[must_use]
    pub fn of(waveform: &Waveform) -> Self {
        let n = waveform.samples_per_period();
        let mut period: Vec<f64> = if waveform.periods() == 1 {
            waveform.samples_a().to_vec()
        } else {
            averaged(waveform)
        };
        let transform = plans::forward(n);
        let mut bins = transform.make_output_vec();
        transform.process(&mut period, &mut bins).expect("both buffers were made for this length");
        let scale = 2.0 / n as f64;
        let top = (n - 1) / 2;
        let half_cell_rad = PI / n as f64;
        let peaks_a = Array1::from_iter((1..=top).map(|h| {
            bins[h] * Complex64::from_polar(scale, 0.5_f64.mul_add(PI, -half_cell_rad * h as f64))
        }));
        Self {
            fundamental_hz: waveform.frequency_hz(),
            mean_a: waveform.mean_a(),
            peaks_a,
            alternating_a: if n.is_multiple_of(2) { bins[n / 2].re / n as f64 } else { 0.0 },
            samples_per_period: n,
            rms_ac_a: waveform.rms_a(Coupling::Ac),
            highest_order: waveform.highest_order(),
        }
    }

    /// A spectrum from its lines (complex peak amplitudes of orders 1, 2, ...), on a grid that holds
    /// them all.
    pub(super) fn from_peaks(
        fundamental_hz: f64,
        mean_a: f64,
        peaks_a: Vec<Complex64>,
        samples_per_period: usize,
    ) -> Self {
        let highest_order = peaks_a.len();
        let peaks_a = Array1::from(peaks_a);
        let rms_ac_a = rms(&peaks_a);
        let alternating_a = 0.0;
        Self {
            fundamental_hz,
            mean_a,
            peaks_a,
            alternating_a,
            samples_per_period,
            rms_ac_a,
            highest_order,
        }
    }

    /// Frequency of the fundamental.
    #[must_use]
    pub fn fundamental_hz(&self) -> f64 {
        self.fundamental_hz
    }

    /// Mean of the waveform.
    #[must_use]
    pub fn mean_a(&self) -> f64 {
        self.mean_a
    }

    /// The highest order that is known: what the grid can hold, or less where the waveform's maker
    /// vouches for less.
    #[must_use]
    pub fn highest_order(&self) -> usize {
        self.highest_order
    }

    /// One harmonic line; `None` for order 0 or above [`Self::highest_order`].
    #[must_use]
    pub fn line(&self, order: usize) -> Option<HarmonicLine> {
        if order > self.highest_order {
            return None;
        }
        let peak_a = self.peaks_a.get(order.checked_sub(1)?)?;
        Some(HarmonicLine { order, rms_a: peak_a.norm() / SQRT_2, phase_rad: peak_a.arg() })
    }

    /// The lines of the given orders, as far as they are known.
    pub fn lines(&self, orders: RangeInclusive<usize>) -> impl Iterator<Item = HarmonicLine> + '_ {
        let last = (*orders.end()).min(self.highest_order);
        (*orders.start()..=last).filter_map(|order| self.line(order))
    }

    /// RMS of the fundamental.
    #[must_use]
    pub fn fundamental_rms_a(&self) -> f64 {
        self.peaks_a.first().map_or(0.0, |peak_a| peak_a.norm() / SQRT_2)
    }

    /// Total harmonic distortion over the given orders, relative to the fundamental.
    ///
    /// `None` when there is no fundamental. Use [`Self::distortion_ratio`] for everything that is
    /// not fundamental or mean.
    ///
    /// # Formula
    /// THD = √(Σ_{h=2..H} I_h²) / I_1
    ///
    /// # Source
    /// The usual definition relative to the fundamental (IEC 61000-4-7, IEEE 1459; from memory).
    #[must_use]
    pub fn thd_ratio(&self, highest_order: usize) -> Option<f64> {
        let top = highest_order.min(self.highest_order);
        let fundamental_a = self.peaks_a.first()?.norm();
        if !self.has_fundamental() || top < 2 {
            return None;
        }
        let square: f64 = self.peaks_a.iter().take(top).skip(1).map(Complex64::norm_sqr).sum();
        Some(square.sqrt() / fundamental_a)
    }

    /// Everything that is neither fundamental nor mean, relative to the fundamental.
    ///
    /// # Formula
    /// √(I² − I_1²) / I_1, I the true RMS with the mean removed
    #[must_use]
    pub fn distortion_ratio(&self) -> Option<f64> {
        let fundamental_a = self.fundamental_rms_a();
        let rest_a2 = self.rms_ac_a.mul_add(self.rms_ac_a, -fundamental_a * fundamental_a);
        self.has_fundamental().then(|| rest_a2.max(0.0).sqrt() / fundamental_a)
    }

    /// Whether there is a fundamental at all, beyond the rounding of the transform.
    fn has_fundamental(&self) -> bool {
        self.rms_ac_a > 0.0
            && self.fundamental_rms_a() > ROUNDING_RATIO * self.mean_a.hypot(self.rms_ac_a)
    }

    /// True RMS rebuilt from the lines, mean included (Parseval).
    #[must_use]
    pub fn rms_a(&self) -> f64 {
        self.mean_a.hypot(rms(&self.peaks_a)).hypot(self.alternating_a)
    }

    /// The same spectrum with every order above `highest_order` removed.
    #[must_use]
    pub fn band_limited(mut self, highest_order: usize) -> Self {
        self.peaks_a.iter_mut().skip(highest_order).for_each(|peak_a| *peak_a = Complex64::ZERO);
        if highest_order.saturating_mul(2) < self.samples_per_period {
            self.alternating_a = 0.0;
        }
        self.rms_ac_a = rms(&self.peaks_a).hypot(self.alternating_a);
        self
    }

    /// One period of the current these lines describe, on a grid of its own.
    ///
    /// # Errors
    /// `Inconsistent` when the grid is too coarse for the highest line that is not zero; otherwise
    /// as [`Waveform::new`].
    pub fn waveform(&self, samples_per_period: usize) -> Result<Waveform> {
        Waveform::SAMPLES_PER_PERIOD.check(samples_per_period as f64)?;
        let n = samples_per_period;
        let used = self.peaks_a.iter().rposition(|peak_a| *peak_a != Complex64::ZERO);
        if used.is_some_and(|top| 2 * (top + 1) >= n) {
            return Err(Error::inconsistent(format!(
                "{n} samples per period cannot hold harmonic {}",
                used.map_or(0, |top| top + 1)
            ))
            .with_hint("limit the band first, or ask for more samples"));
        }
        let half_cell_rad = PI / n as f64;
        let transform = plans::inverse(n);
        let mut bins = transform.make_input_vec();
        bins[0] = Complex64::new(self.mean_a, 0.0);
        for (index, peak_a) in self.peaks_a.iter().enumerate().take(bins.len().saturating_sub(1)) {
            let order = index + 1;
            let turn_rad = half_cell_rad.mul_add(order as f64, -0.5 * PI);
            bins[order] = peak_a * Complex64::from_polar(0.5, turn_rad);
        }
        if n.is_multiple_of(2) {
            // The alternating component belongs to its own grid; on another it is gone.
            let kept = if n == self.samples_per_period { self.alternating_a } else { 0.0 };
            bins[n / 2] = Complex64::new(kept, 0.0);
        }
        let mut samples_a = transform.make_output_vec();
        transform
            .process(&mut bins, &mut samples_a)
            .expect("both buffers were made for this length, and the outer bins are real");
        Waveform::new(samples_a, n, 1.0 / (self.fundamental_hz * n as f64))
    }
}

/// True RMS of lines given by their peak amplitudes.
fn rms(peaks_a: &Array1<Complex64>) -> f64 {
    peaks_a.iter().map(|peak_a| 0.5 * peak_a.norm_sqr()).sum::<f64>().sqrt()
}

/// The mean of all periods, sample by sample, in the order of the periods.
fn averaged(waveform: &Waveform) -> Vec<f64> {
    let n = waveform.samples_per_period();
    let mut sum = vec![0.0; n];
    for period in waveform.samples_a().chunks_exact(n) {
        for (total, i_a) in sum.iter_mut().zip(period) {
            *total += i_a;
        }
    }
    let share = 1.0 / waveform.periods() as f64;
    sum.iter_mut().for_each(|total| *total *= share);
    sum
}
