use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::error::{Bounds, Result};

/// White Gaussian noise on a synthetic waveform; the same seed gives the same bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// RMS of the noise as a ratio of the bare shape's RMS.
    pub ratio: f64,
    /// Seed of the generator.
    pub seed: u64,
}

impl Noise {
    /// Size of the noise.
    pub const RATIO: Bounds = Bounds::new("noise ratio", "", 0.0, 10.0);

    /// Checks the size.
    ///
    /// # Errors
    /// `OutOfRange` when the ratio is out of bounds.
    pub fn check(&self) -> Result<()> {
        Self::RATIO.check(self.ratio).map(|_| ())
    }

    /// Adds the noise to samples whose bare RMS is given.
    pub(crate) fn add_to(&self, samples: &mut [f64], bare_rms: f64) {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        for sample in samples {
            let z: f64 = StandardNormal.sample(&mut random);
            *sample += self.ratio * bare_rms * z;
        }
    }
}
