use num_complex::Complex64;

use crate::error::{Error, Result};
use crate::waveform::Waveform;

use super::plans;

/// The transform of a whole record, made once and filtered many times.
///
/// Use it to pass a current through something whose response is known by frequency; use
/// [`Spectrum`](super::Spectrum) to read harmonics.
///
/// # Formula
/// X_k = Σ_n i_n e^{−2πjkn/N} over all samples of all periods, so that what lies between the
/// harmonics is kept.
#[derive(Clone, Debug)]
pub struct Transform {
    bins_a: Vec<Complex64>,
    bin_hz: f64,
    samples: usize,
}

impl Transform {
    /// The transform of a waveform.
    #[must_use]
    pub fn of(waveform: &Waveform) -> Self {
        let samples = waveform.samples_a().len();
        let transform = plans::forward(samples);
        let mut bins_a = transform.make_output_vec();
        transform
            .process(&mut waveform.samples_a().to_vec(), &mut bins_a)
            .expect("both buffers were made for this length");
        Self { bins_a, bin_hz: 1.0 / (waveform.sample_interval_s() * samples as f64), samples }
    }

    /// Number of bins, the mean among them.
    #[must_use]
    pub fn bins(&self) -> usize {
        self.bins_a.len()
    }

    /// Distance of two bins in frequency.
    #[must_use]
    pub fn bin_hz(&self) -> f64 {
        self.bin_hz
    }

    /// The samples after each bin was multiplied by its gain.
    ///
    /// The imaginary parts of the gains of the mean and of the alternating component mean nothing and
    /// are left out.
    ///
    /// # Errors
    /// `Inconsistent` when there is not one gain for each bin.
    pub fn filtered_a(&self, gains: &[Complex64]) -> Result<Vec<f64>> {
        self.check(gains)?;
        let transform = plans::inverse(self.samples);
        let scale = 1.0 / self.samples as f64;
        let mut bins_a: Vec<Complex64> =
            self.bins_a.iter().zip(gains).map(|(bin_a, gain)| bin_a * gain * scale).collect();
        for outer in self.real_bins() {
            bins_a[outer].im = 0.0;
        }
        let mut samples_a = transform.make_output_vec();
        transform
            .process(&mut bins_a, &mut samples_a)
            .expect("both buffers were made for this length, and the outer bins are real");
        Ok(samples_a)
    }

    /// Mean square of what [`Self::filtered_a`] returns, without making it (Parseval).
    ///
    /// # Errors
    /// As [`Self::filtered_a`].
    pub fn filtered_square_a2(&self, gains: &[Complex64]) -> Result<f64> {
        self.check(gains)?;
        let doubled: f64 = self
            .bins_a
            .iter()
            .zip(gains)
            .map(|(bin_a, gain)| 2.0 * bin_a.norm_sqr() * gain.norm_sqr())
            .sum();
        // The mean and the alternating component have no twin at the negative frequency.
        let outer: f64 = self
            .real_bins()
            .map(|at| {
                let re_a = self.bins_a[at].re * gains[at].re;
                re_a * re_a - 2.0 * self.bins_a[at].norm_sqr() * gains[at].norm_sqr()
            })
            .sum();
        let n = self.samples as f64;
        Ok((doubled + outer).max(0.0) / (n * n))
    }

    /// Mean square of everything above a frequency.
    #[must_use]
    pub fn square_above_a2(&self, frequency_hz: f64) -> f64 {
        let first = (frequency_hz / self.bin_hz).floor().max(0.0) as usize + 1;
        let n = self.samples as f64;
        let above = self.bins_a.get(first..).unwrap_or_default();
        let doubled: f64 = above.iter().map(|bin_a| 2.0 * bin_a.norm_sqr()).sum();
        // The alternating component has no twin at the negative frequency.
        let twinless = match above.last() {
            Some(last_a) if self.samples.is_multiple_of(2) => last_a.norm_sqr(),
            _ => 0.0,
        };
        (doubled - twinless) / (n * n)
    }

    fn check(&self, gains: &[Complex64]) -> Result<()> {
        if gains.len() == self.bins_a.len() {
            return Ok(());
        }
        Err(Error::inconsistent(format!(
            "{} gains for the {} bins of a transform",
            gains.len(),
            self.bins_a.len()
        )))
    }

    /// The bins that are real by nature: the mean, and on an even grid the alternating component.
    fn real_bins(&self) -> impl Iterator<Item = usize> {
        let last = self.samples.is_multiple_of(2).then(|| self.bins_a.len() - 1);
        std::iter::once(0).chain(last)
    }
}
