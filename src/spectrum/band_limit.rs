use crate::error::{Bounds, Error, Result};
use crate::waveform::{Coupling, Scale, Synthesis, Waveform};

use super::Spectrum;

/// How much finer than its own grid a shape is sampled before its band is limited, so that what
/// lies above the band does not fold into it.
const OVERSAMPLING: usize = 16;

/// A synthetic waveform without harmonics above `highest_order`, scaled after the limiting.
///
/// Use it where the sampled corner of a shape would fake a crest factor that no real current of
/// limited bandwidth has. Peaks near a removed jump overshoot (Gibbs): that is what a real
/// band-limited current does.
///
/// # Validity
/// Lines of a shape with jumps carry the folding of orders beyond 16 times the grid: below 1e-3 of
/// the line at the highest order.
///
/// # Errors
/// `OutOfRange` for an order the grid cannot hold; otherwise as [`Synthesis::waveform`].
pub fn band_limited(synthesis: &Synthesis, highest_order: usize) -> Result<Waveform> {
    let n = synthesis.samples_per_period;
    let top = (n.saturating_sub(1) / 2) as f64;
    Bounds::new("highest harmonic order", "", 1.0, top).check(highest_order as f64)?;
    let fine = Synthesis { samples_per_period: n * OVERSAMPLING, periods: 1, ..synthesis.clone() };
    let one_period = Spectrum::of(&fine.waveform()?).band_limited(highest_order).waveform(n)?;
    let repeated = if synthesis.periods == 1 {
        one_period
    } else {
        let samples_a = one_period.samples_a().repeat(synthesis.periods);
        Waveform::new(samples_a, n, one_period.sample_interval_s())?
    };
    match synthesis.scale {
        Scale::RmsA(rms_a) => repeated.scaled_to_rms(rms_a, Coupling::Dc),
        Scale::PeakA(peak_a) => {
            let now_a = repeated.measures().dc.peak_a;
            if now_a <= 0.0 {
                return Err(Error::inconsistent("nothing is left below the band limit"));
            }
            repeated.scaled(peak_a / now_a)
        }
    }
}
