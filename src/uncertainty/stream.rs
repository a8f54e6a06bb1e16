use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Random numbers found by their place, not by what was drawn before: the number of a trial and of a
/// coordinate is the same on any number of threads, in any order, alone or in a block.
///
/// # Formula
/// ChaCha with 8 rounds keyed by the seed. The coordinate is the stream, the trial the position in
/// it: word `w = 2·trial`, 64 bits from there, of which the upper 52 make `u = (n + 1/2)/2⁵²`,
/// inside (0, 1) without its ends.
///
/// # Validity
/// Coordinates up to [`Self::COORDINATES`]; trials up to 2⁶³.
///
/// # Example
/// ```
/// use loopcrest::uncertainty::Stream;
/// let stream = Stream::new(7);
/// let mut block = [0.0; 4];
/// stream.uniforms(2, 10, &mut block);
/// assert_eq!(block[3], stream.uniform(13, 2));
/// ```
#[derive(Clone, Debug)]
pub struct Stream {
    seed: u64,
    start: ChaCha8Rng,
}

impl Stream {
    /// Coordinates a trial may have.
    pub const COORDINATES: u64 = 1 << 32;

    /// The numbers of a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { seed, start: ChaCha8Rng::seed_from_u64(seed) }
    }

    /// Its seed.
    #[must_use]
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// One number in (0, 1).
    #[must_use]
    pub fn uniform(&self, trial: u64, coordinate: u32) -> f64 {
        unit(self.at(Lane::First, coordinate, trial).next_u64())
    }

    /// The numbers of consecutive trials in one coordinate, from `first_trial` on.
    ///
    /// About ten times as quick for each as [`Self::uniform`].
    pub fn uniforms(&self, coordinate: u32, first_trial: u64, out: &mut [f64]) {
        self.fill(Lane::First, coordinate, first_trial, out);
    }

    /// As [`Self::uniforms`], from a second sequence of the same coordinate: for laws that need two
    /// numbers for one value.
    pub(super) fn companions(&self, coordinate: u32, first_trial: u64, out: &mut [f64]) {
        self.fill(Lane::Second, coordinate, first_trial, out);
    }

    fn fill(&self, lane: Lane, coordinate: u32, first_trial: u64, out: &mut [f64]) {
        let mut random = self.at(lane, coordinate, first_trial);
        for value in out {
            *value = unit(random.next_u64());
        }
    }

    fn at(&self, lane: Lane, coordinate: u32, trial: u64) -> ChaCha8Rng {
        let mut random = self.start.clone();
        random.set_stream(2 * u64::from(coordinate) + lane as u64);
        random.set_word_pos(2 * u128::from(trial));
        random
    }
}

/// Two sequences for each coordinate.
#[derive(Clone, Copy)]
enum Lane {
    First,
    Second,
}

/// 52 bits: with 53 the largest would round to 1.
fn unit(bits: u64) -> f64 {
    const STEP: f64 = 1.0 / (1_u64 << 52) as f64;
    ((bits >> 12) as f64 + 0.5) * STEP
}
