use std::f64::consts::{PI, TAU};

use num_complex::Complex64;

use crate::error::{Bounds, Result};

/// A decaying oscillation set off once in every half period, with alternating sign.
///
/// # Formula
/// r(τ) = ratio exp(−τ/decay) sin(order τ), τ = phase since the last start; the tails of earlier
/// bursts are included, so the result is periodic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingDown {
    /// First amplitude as a ratio of the bare shape's RMS.
    pub ratio: f64,
    /// Ringing frequency as a multiple of the mains frequency; need not be whole.
    pub order: f64,
    /// Phase in which the amplitude falls to 1/e.
    pub decay_rad: f64,
    /// Phase of each half period at which the burst starts.
    pub start_rad: f64,
}

impl RingDown {
    /// First amplitude.
    pub const RATIO: Bounds = Bounds::new("ring-down ratio", "", 0.0, 100.0);
    /// Ringing frequency against mains.
    pub const ORDER: Bounds = Bounds::new("ring-down order", "", 1.0, 1000.0);
    /// Decay.
    pub const DECAY_RAD: Bounds = Bounds::new("ring-down decay", "rad", 0.001, TAU);
    /// Start within the half period.
    pub const START_RAD: Bounds = Bounds::new("ring-down start", "rad", 0.0, PI);

    /// Checks the parameters.
    ///
    /// # Errors
    /// `OutOfRange` when one is out of bounds.
    pub fn check(&self) -> Result<()> {
        Self::RATIO.check(self.ratio)?;
        Self::ORDER.check(self.order)?;
        Self::DECAY_RAD.check(self.decay_rad)?;
        Self::START_RAD.check(self.start_rad).map(|_| ())
    }

    /// The complex peak amplitude of one harmonic, for a bare shape of RMS 1: `|c| sin(hθ + arg c)`.
    ///
    /// # Formula
    /// c_h = (2j/π) ratio e^{−jhθ₀} order / ((1/decay + jh)² + order²) for odd h, 0 for even h: the
    /// transform of a single burst, for the tails of all bursts together make one whole.
    pub(crate) fn line(&self, harmonic: usize) -> Complex64 {
        if harmonic.is_multiple_of(2) {
            return Complex64::ZERO;
        }
        let h = harmonic as f64;
        let pole = Complex64::new(1.0 / self.decay_rad, h);
        let burst = self.order / (pole * pole + self.order * self.order);
        let turn = Complex64::from_polar(1.0, -h * self.start_rad);
        Complex64::new(0.0, 2.0 / PI * self.ratio) * turn * burst
    }

    /// Value at the phase `theta_rad`, for a bare shape of RMS 1.
    pub(super) fn at(&self, theta_rad: f64) -> f64 {
        let since = theta_rad - self.start_rad;
        let starts = (since / PI).floor();
        let mut tau = since - starts * PI;
        let mut sign = if starts.rem_euclid(2.0) < 0.5 { 1.0 } else { -1.0 };
        let mut sum = 0.0;
        // Earlier bursts below 1e-16 of the first amplitude no longer matter (e^-37).
        while tau < 37.0 * self.decay_rad {
            sum += sign * (-tau / self.decay_rad).exp() * (self.order * tau).sin();
            sign = -sign;
            tau += PI;
        }
        self.ratio * sum
    }
}
