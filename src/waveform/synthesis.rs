use std::f64::consts::TAU;

use crate::error::{Bounds, Error, Result};

use super::{Coupling, Noise, RingDown, Shape, Waveform};

/// What a synthetic waveform is scaled to, everything added to it included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// True RMS, mean included.
    RmsA(f64),
    /// Largest magnitude.
    PeakA(f64),
}

impl Scale {
    /// The waveform brought to this target.
    ///
    /// # Errors
    /// `Inconsistent` for a current that is zero throughout; otherwise as [`Waveform::scaled`].
    pub(crate) fn applied_to(self, waveform: &Waveform) -> Result<Waveform> {
        match self {
            Self::RmsA(rms_a) => waveform.scaled_to_rms(rms_a, Coupling::Dc),
            Self::PeakA(peak_a) => {
                let now_a = waveform.measures().dc.peak_a;
                if now_a <= 0.0 {
                    return Err(Error::inconsistent("the current is zero throughout"));
                }
                waveform.scaled(peak_a / now_a)
            }
        }
    }
}

/// Recipe of a synthetic waveform: shape, additions, scale and grid.
///
/// The additions are ratios of the bare shape's RMS; the sum is then scaled, so that the target is
/// met exactly by the finished waveform.
///
/// # Validity
/// Jumps that fall on a cell's edge cost no accuracy; others are moved to the nearest one, by half a
/// cell at most. [`Synthesis::new`] chooses a grid of 7200 to 10000 samples a period that has the
/// shape's jumps on its edges, or as near to them as such a grid can; 7200 samples, which have every
/// twentieth of a degree on an edge, whenever they do. The largest sample lies half a cell away from
/// a peak that stands at a jump, so the peak of a sine cut at an angle a beyond 90 degrees is low by
/// (π/N) |cot a| of itself (`exact_peak_of_a_late_phase_cut_is_low_by_half_a_cell`); ask for more
/// samples where that matters.
///
/// # Example
/// ```
/// use loopcrest::waveform::{Scale, Shape, Synthesis};
/// let square = Synthesis::new(Shape::Square, Scale::RmsA(6.6)).waveform().unwrap();
/// assert!((square.measures().dc.peak_a - 6.6).abs() < 1e-12);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Synthesis {
    /// The bare shape.
    pub shape: Shape,
    /// Target of the finished waveform.
    pub scale: Scale,
    /// Mean to add, as a ratio of the bare shape's RMS.
    pub offset_ratio: f64,
    /// Noise to add.
    pub noise: Option<Noise>,
    /// Ringing to add.
    pub ring_down: Option<RingDown>,
    /// Mains frequency.
    pub frequency_hz: f64,
    /// Number of periods.
    pub periods: usize,
    /// Samples in each period.
    pub samples_per_period: usize,
}

impl Synthesis {
    /// Samples in a period unless asked otherwise: 0.05 degrees a sample.
    pub const DEFAULT_SAMPLES_PER_PERIOD: usize = 7200;
    /// Most samples in a period when the jumps of the shape ask for another grid: at the highest
    /// frequency allowed the samples still stand the shortest interval apart.
    const MOST_SAMPLES_PER_PERIOD: usize = 10_000;
    /// Mean added to the shape.
    pub const OFFSET_RATIO: Bounds = Bounds::new("offset ratio", "", -100.0, 100.0);
    /// Target of the scale.
    pub const TARGET_A: Bounds = Bounds::new("target current", "A", 1e-6, 1e6);
    /// Mains frequency.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("frequency", "Hz", 1.0, 100_000.0);
    /// All samples together: what fits comfortably in memory.
    pub const SAMPLES: Bounds = Bounds::new("number of samples", "", 16.0, 2e8);

    /// One period of the shape at 60 Hz, without additions, on a grid that suits its jumps.
    #[must_use]
    pub fn new(shape: Shape, scale: Scale) -> Self {
        let samples_per_period = grid_for(&shape);
        Self {
            shape,
            scale,
            offset_ratio: 0.0,
            noise: None,
            ring_down: None,
            frequency_hz: 60.0,
            periods: 1,
            samples_per_period,
        }
    }

    /// The finished waveform.
    ///
    /// # Errors
    /// `OutOfRange` for a parameter out of bounds; `Inconsistent` when nothing is left to scale.
    pub fn waveform(&self) -> Result<Waveform> {
        self.check()?;
        let n = self.samples_per_period;
        let one_period: Vec<f64> =
            (0..n).map(|k| self.shape.at(TAU * (k as f64 + 0.5) / n as f64)).collect();
        let bare_rms =
            (one_period.iter().map(|i| i * i).sum::<f64>() / one_period.len() as f64).sqrt();
        let mut samples = Vec::with_capacity(n * self.periods);
        for _ in 0..self.periods {
            samples.extend_from_slice(&one_period);
        }
        for (k, sample) in samples.iter_mut().enumerate() {
            *sample += self.offset_ratio * bare_rms;
            if let Some(ring_down) = &self.ring_down {
                *sample += bare_rms * ring_down.at(TAU * ((k % n) as f64 + 0.5) / n as f64);
            }
        }
        if let Some(noise) = &self.noise {
            noise.add_to(&mut samples, bare_rms);
        }
        let raw = Waveform::new(samples, n, 1.0 / (self.frequency_hz * n as f64))?;
        self.scale.applied_to(&raw)
    }

    /// Checks every parameter, as all that make a waveform from the recipe do first.
    pub(crate) fn check(&self) -> Result<()> {
        self.shape.check()?;
        let (Scale::RmsA(target_a) | Scale::PeakA(target_a)) = self.scale;
        Self::TARGET_A.check(target_a)?;
        Self::OFFSET_RATIO.check(self.offset_ratio)?;
        Self::FREQUENCY_HZ.check(self.frequency_hz)?;
        Waveform::SAMPLES_PER_PERIOD.check(self.samples_per_period as f64)?;
        Self::SAMPLES.check(self.samples_per_period as f64 * self.periods as f64)?;
        if let Some(noise) = &self.noise {
            noise.check()?;
        }
        self.ring_down.as_ref().map_or(Ok(()), RingDown::check)
    }
}

/// The samples per period, a multiple of four from the usual number on, whose cells' edges come
/// nearest to the jumps of a shape; the first of equals.
fn grid_for(shape: &Shape) -> usize {
    /// A jump this near to an edge, in cells, is on it.
    const ON_EDGE: f64 = 1e-6;
    let jumps = shape.jumps();
    let off = |n: usize| {
        let cells = jumps.iter().map(|place| place * 0.5 * n as f64);
        cells.map(|cell| (cell - cell.round()).abs()).fold(0.0, f64::max)
    };
    let mut best = (Synthesis::DEFAULT_SAMPLES_PER_PERIOD, f64::INFINITY);
    for n in (best.0..=Synthesis::MOST_SAMPLES_PER_PERIOD).step_by(4) {
        let off = off(n);
        if off < best.1 {
            best = (n, off);
        }
        if off <= ON_EDGE {
            break;
        }
    }
    best.0
}
