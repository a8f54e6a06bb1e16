use num_complex::Complex64;

use crate::circuit::SenseLaw;
use crate::error::Result;
use crate::waveform::Waveform;

use super::Observation;
use super::lines::{rms_a, turned, waveform};
use super::problem::Problem;

/// A capture beside what the fitted regulator gives at its current and load.
#[derive(Clone, Debug)]
pub struct FittedCapture {
    /// The user's name of the capture.
    pub name: String,
    /// Resistance of the load, roughly.
    pub load_ohm: f64,
    /// One measured period, averaged and band-limited, begun where the fitted fundamental rises
    /// through zero.
    pub measured: Waveform,
    /// The fitted period on the same grid.
    pub fitted: Waveform,
    /// True RMS the regulator holds in the fit.
    pub held_rms_a: f64,
    /// The firing delay with which it does.
    pub delay_rad: f64,
    /// RMS of the difference.
    pub residual_rms_a: f64,
    /// What noise alone would leave; `None` when it is not known.
    pub noise_rms_a: Option<f64>,
    /// Sum of the squared residuals over their standard uncertainty; `None` when that is not known.
    pub chi_square: Option<f64>,
    /// Harmonic orders that were compared.
    pub orders: usize,
}

/// Samples of the two periods: many for each of the highest order's.
const SAMPLES: usize = 720;

impl FittedCapture {
    pub(super) fn new(
        problem: &Problem<'_>,
        x: &[f64],
        at: usize,
        seen: &Observation,
    ) -> Result<Self> {
        let (lines, point) = problem.shifted(x, at)?;
        let measured = &seen.lines.rms_a;
        let off: Vec<Complex64> = lines.iter().zip(measured).map(|(p, m)| p - m).collect();
        let begin_rad = -lines[0].arg();
        let period = |lines: &[Complex64]| {
            waveform(&turned(lines, begin_rad), SAMPLES.max(8 * lines.len()), seen.frequency_hz)
        };
        let residual_rms_a = rms_a(&off);
        let orders = measured.len();
        let noise_a = seen.lines.noise_a;
        Ok(Self {
            name: seen.name.clone(),
            load_ohm: seen.load.resistance_ohm(),
            measured: period(measured)?,
            fitted: period(&lines)?,
            held_rms_a: problem.own(x, at).0,
            delay_rad: point.delay_rad(),
            residual_rms_a,
            noise_rms_a: noise_a.map(|noise_a| noise_a * (2.0 * orders as f64).sqrt()),
            chi_square: noise_a.map(|noise_a| (residual_rms_a / noise_a).powi(2)),
            orders,
        })
    }

    /// Crest factor of the measured and of the fitted period.
    #[must_use]
    pub fn crest_factors(&self) -> (Option<f64>, Option<f64>) {
        let crest = |period: &Waveform| period.measures().dc.crest_factor();
        (crest(&self.measured), crest(&self.fitted))
    }

    /// Relative error of an average-responding meter on the measured and on the fitted period.
    #[must_use]
    pub fn average_error_ratios(&self) -> (Option<f64>, Option<f64>) {
        let error = |period: &Waveform| {
            let form = period.measures().dc.form_factor()?;
            Some(SenseLaw::SINE_FORM_FACTOR / form - 1.0)
        };
        (error(&self.measured), error(&self.fitted))
    }
}
