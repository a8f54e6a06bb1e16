//! The part of a meter that is linear: clamp and amplifier, as gains by frequency.

use num_complex::Complex64;

use crate::meter::{Bandwidth, Sheet};
use crate::waveform::Coupling;

use super::Signal;

/// Gains of the bins of one grid.
#[derive(Clone, Debug)]
pub(super) struct FrontEnd {
    bins: usize,
    bin_hz: f64,
    reference_hz: f64,
    /// The clamp's high-pass; `None` when it changes nothing but what the coupling removes.
    pub(super) low: Option<Vec<Complex64>>,
    /// The high-pass and the bandwidth together; `None` without a bandwidth.
    pub(super) whole: Option<Vec<Complex64>>,
}

impl FrontEnd {
    /// The gains for a signal's grid.
    ///
    /// # Formula
    /// High-pass: H = j f / (f_c + j f) over its magnitude at the reference; the bandwidth's response
    /// over its magnitude at the reference. The mean is dropped where clamp or detector drop it.
    pub(super) fn new(sheet: &Sheet, signal: &Signal<'_>) -> Self {
        let bins = signal.transform.bins();
        let bin_hz = signal.transform.bin_hz();
        let reference_hz = sheet.calibrated_hz.unwrap_or(signal.waveform.frequency_hz());
        let coupling = coupling(sheet);
        let at = |bin: usize| bin as f64 * bin_hz;
        let mean_gain = Complex64::new(if coupling == Coupling::Dc { 1.0 } else { 0.0 }, 0.0);
        let cutoff_hz = sheet.clamp.low_cutoff_hz();
        let low: Option<Vec<Complex64>> = match cutoff_hz {
            Some(cutoff_hz) => {
                let scale = 1.0 / high_pass(cutoff_hz, reference_hz).norm();
                Some((0..bins).map(|bin| high_pass(cutoff_hz, at(bin)) * scale).collect())
            }
            // The detector would take the mean, the clamp does not let it through.
            None if coupling != sheet.detector.coupling() => Some(only_mean_removed(bins)),
            None => None,
        };
        let whole = (sheet.bandwidth != Bandwidth::Unlimited).then(|| {
            let scale = 1.0 / sheet.bandwidth.response(reference_hz).norm();
            let mut gains: Vec<Complex64> =
                (0..bins).map(|bin| sheet.bandwidth.response(at(bin)) * scale).collect();
            match &low {
                Some(low) => gains.iter_mut().zip(low).for_each(|(gain, low)| *gain *= low),
                None => gains[0] = mean_gain * gains[0].re,
            }
            gains
        });
        Self { bins, bin_hz, reference_hz, low, whole }
    }

    /// Whether these gains belong to this signal's grid and reference.
    pub(super) fn is_for(&self, sheet: &Sheet, signal: &Signal<'_>) -> bool {
        let reference_hz = sheet.calibrated_hz.unwrap_or(signal.waveform.frequency_hz());
        self.bins == signal.transform.bins()
            && self.bin_hz.to_bits() == signal.transform.bin_hz().to_bits()
            && self.reference_hz.to_bits() == reference_hz.to_bits()
    }
}

/// Whether the mean gets through clamp and detector.
pub(super) fn coupling(sheet: &Sheet) -> Coupling {
    match (sheet.clamp.coupling(), sheet.detector.coupling()) {
        (Coupling::Dc, Coupling::Dc) => Coupling::Dc,
        _ => Coupling::Ac,
    }
}

fn high_pass(cutoff_hz: f64, frequency_hz: f64) -> Complex64 {
    let x = frequency_hz / cutoff_hz;
    Complex64::new(x * x, x) / (1.0 + x * x)
}

fn only_mean_removed(bins: usize) -> Vec<Complex64> {
    let mut gains = vec![Complex64::ONE; bins];
    gains[0] = Complex64::ZERO;
    gains
}
