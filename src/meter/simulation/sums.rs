//! The three numbers any detector law is made of, and how the law makes a reading of them.

use crate::meter::{Detector, Indication};

use super::folded_noise;

/// Mean square, mean magnitude and largest magnitude of samples.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sums {
    pub(super) square_a2: f64,
    pub(super) arv_a: f64,
    pub(super) peak_a: f64,
}

/// Independent partial sums, so that the processor's vectors can be used.
const LANES: usize = 8;

impl Sums {
    pub(super) fn of(samples_a: &[f64]) -> Self {
        let (mut square, mut arv, mut peak) = ([0.0; LANES], [0.0; LANES], [0.0_f64; LANES]);
        let (blocks, rest) = samples_a.as_chunks::<LANES>();
        for block in blocks {
            for lane in 0..LANES {
                let magnitude_a = block[lane].abs();
                square[lane] += magnitude_a * magnitude_a;
                arv[lane] += magnitude_a;
                peak[lane] = if magnitude_a > peak[lane] { magnitude_a } else { peak[lane] };
            }
        }
        for (lane, i_a) in rest.iter().enumerate() {
            square[lane] += i_a * i_a;
            arv[lane] += i_a.abs();
            peak[lane] = peak[lane].max(i_a.abs());
        }
        let share = 1.0 / samples_a.len() as f64;
        Self {
            square_a2: share * square.iter().sum::<f64>(),
            arv_a: share * arv.iter().sum::<f64>(),
            peak_a: peak.into_iter().fold(0.0, f64::max),
        }
    }

    /// These sums with white noise on the samples.
    pub(super) fn with(self, noise: &Self) -> Self {
        Self {
            square_a2: self.square_a2 + noise.square_a2,
            arv_a: self.arv_a + noise.arv_a,
            peak_a: self.peak_a + noise.peak_a,
        }
    }

    /// What Gaussian noise adds to the sums of these samples, on average; the mean magnitude only for
    /// a law that reads it.
    ///
    /// # Formula
    /// σ² to the mean square; E|i + n| − |i| = σ √(2/π) e^{−i²/2σ²} − |i| (1 − erf(|i| / σ√2)) to
    /// the mean magnitude; 3 σ to the peak.
    ///
    /// # Source
    /// The mean of a folded normal distribution: closed form. Three sigma for the peak of noise:
    /// common practice, no source.
    pub(super) fn of_noise(samples_a: &[f64], sigma_a: f64, detector: Detector) -> Self {
        if sigma_a <= 0.0 {
            return Self::default();
        }
        // The one sum that needs every sample is spared a law that does not ask for it.
        let arv_a = if detector.indication() == Indication::AverageScaledToRms {
            let excess = |i_a: &f64| folded_noise::excess(i_a.abs() / sigma_a);
            sigma_a * samples_a.iter().map(excess).sum::<f64>() / samples_a.len() as f64
        } else {
            0.0
        };
        Self { square_a2: sigma_a * sigma_a, arv_a, peak_a: 3.0 * sigma_a }
    }

    /// What a detector of this law shows of samples with these sums.
    pub(super) fn read_a(&self, detector: Detector) -> f64 {
        match detector.indication() {
            Indication::TrueRms => self.square_a2.sqrt(),
            Indication::AverageScaledToRms => Detector::AVERAGE_SCALE * self.arv_a,
            Indication::PeakScaledToRms => Detector::PEAK_SCALE * self.peak_a,
        }
    }
}
