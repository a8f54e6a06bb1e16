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

/// Recipe of a synthetic waveform: shape, additions, scale and grid.
///
/// The additions are ratios of the bare shape's RMS; the sum is then scaled, so that the target is
/// met exactly by the finished waveform.
///
/// # Validity
/// Jumps that fall on a cell's edge cost no accuracy; others shift RMS and mean by up to half a
/// cell. The default grid of 7200 samples puts every twentieth of a degree on an edge.
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
    /// Mean added to the shape.
    pub const OFFSET_RATIO: Bounds = Bounds::new("offset ratio", "", -100.0, 100.0);
    /// Target of the scale.
    pub const TARGET_A: Bounds = Bounds::new("target current", "A", 1e-6, 1e6);
    /// Mains frequency.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("frequency", "Hz", 1.0, 100_000.0);
    /// All samples together: what fits comfortably in memory.
    pub const SAMPLES: Bounds = Bounds::new("number of samples", "", 16.0, 2e8);

    /// One period of the shape at 60 Hz on the default grid, without additions.
    #[must_use]
    pub fn new(shape: Shape, scale: Scale) -> Self {
        Self {
            shape,
            scale,
            offset_ratio: 0.0,
            noise: None,
            ring_down: None,
            frequency_hz: 60.0,
            periods: 1,
            samples_per_period: Self::DEFAULT_SAMPLES_PER_PERIOD,
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
        match self.scale {
            Scale::RmsA(rms_a) => raw.scaled_to_rms(rms_a, Coupling::Dc),
            Scale::PeakA(peak_a) => {
                let now_a = raw.measures().dc.peak_a;
                if now_a <= 0.0 {
                    return Err(Error::inconsistent("the shape is zero throughout"));
                }
                raw.scaled(peak_a / now_a)
            }
        }
    }

    fn check(&self) -> Result<()> {
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
