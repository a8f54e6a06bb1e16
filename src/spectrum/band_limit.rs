use crate::error::{Bounds, Result};
use crate::waveform::{Synthesis, Waveform};

use super::Spectrum;
use super::shape_lines::ShapeLines;

/// A synthetic waveform whose shape, offset and ringing have no harmonics above `highest_order`,
/// scaled after the limiting.
///
/// Use it where the sampled corner of a shape would fake a crest factor that no real current of
/// limited bandwidth has. Peaks near a removed jump overshoot (Gibbs): that is what a real
/// band-limited current does. Noise is not part of the periodic current: it is added afterwards,
/// sample by sample and over the whole band of the grid, in the size the recipe names.
///
/// # Validity
/// The lines are those of the continuous shape, from closed forms, wherever its jumps fall; only those
/// of a soft knee come from samples, 16 times finer than the grid: what folds back is below 1e-3 of a
/// hard knee's line at the highest order (`exact_band_limited_lines_are_those_of_the_shape`).
///
/// # Errors
/// `OutOfRange` for an order the grid cannot hold; otherwise as [`Synthesis::waveform`].
pub fn band_limited(synthesis: &Synthesis, highest_order: usize) -> Result<Waveform> {
    synthesis.check()?;
    let n = synthesis.samples_per_period;
    let top = ((n - 1) / 2) as f64;
    Bounds::new("highest harmonic order", "", 1.0, top).check(highest_order as f64)?;
    let mut lines = ShapeLines::new(&synthesis.shape, highest_order, n);
    let bare_rms = lines.rms;
    if let Some(ring_down) = &synthesis.ring_down {
        for (index, peak) in lines.peaks.iter_mut().enumerate() {
            *peak += bare_rms * ring_down.line(index + 1);
        }
    }
    let mean = synthesis.offset_ratio.mul_add(bare_rms, lines.mean);
    let spectrum = Spectrum::from_peaks(synthesis.frequency_hz, mean, lines.peaks, n);
    let one_period = spectrum.waveform(n)?;
    let interval_s = one_period.sample_interval_s();
    let mut samples = one_period.samples_a().repeat(synthesis.periods);
    if let Some(noise) = &synthesis.noise {
        noise.add_to(&mut samples, bare_rms);
    }
    let raw = Waveform::new(samples, n, interval_s)?;
    synthesis
        .scale
        .applied_to(&raw)
        .map_err(|error| error.with_context("what is left below the band limit"))
}
