//! The harmonics of a shape before anything is added to it.

use std::f64::consts::{PI, TAU};

use num_complex::Complex64;

use crate::waveform::{Harmonic, Shape, Synthesis};

use super::plans;

/// Samples of a shape without closed form for each sample asked for, so that what lies above the
/// band does not fold into it.
const OVERSAMPLING: usize = 16;

/// Mean, RMS and complex peak amplitudes of a bare shape.
pub(super) struct ShapeLines {
    pub(super) mean: f64,
    /// RMS of the whole shape, what lies above the band included.
    pub(super) rms: f64,
    /// Of orders 1, 2, ...
    pub(super) peaks: Vec<Complex64>,
}

impl ShapeLines {
    /// The lines up to an order, for a shape that is to end on a grid of `samples_per_period`.
    ///
    /// # Formula
    /// c_h = (j/π) ∫ f(θ) e^{−jhθ} dθ over the period, from the closed forms of the pieces the shape
    /// is made of; a sum of harmonics is its own spectrum; a soft knee is sampled finely.
    pub(super) fn new(shape: &Shape, highest_order: usize, samples_per_period: usize) -> Self {
        match shape {
            Shape::Harmonics(harmonics) => of_harmonics(harmonics, highest_order),
            _ => of_pieces(shape, highest_order)
                .unwrap_or_else(|| sampled(shape, highest_order, samples_per_period)),
        }
    }
}

fn of_harmonics(harmonics: &[Harmonic], highest_order: usize) -> ShapeLines {
    let mut peaks = vec![Complex64::ZERO; highest_order];
    let mut square = 0.5;
    peaks[0] = Complex64::ONE;
    for harmonic in harmonics {
        square += 0.5 * harmonic.ratio * harmonic.ratio;
        if let Some(peak) = peaks.get_mut(harmonic.order - 1) {
            *peak = Complex64::from_polar(harmonic.ratio, harmonic.phase_rad);
        }
    }
    ShapeLines { mean: 0.0, rms: square.sqrt(), peaks }
}

fn of_pieces(shape: &Shape, highest_order: usize) -> Option<ShapeLines> {
    let pieces = shape.pieces()?;
    let alternates = shape.alternates();
    let halves = if alternates { 2.0 } else { 1.0 };
    let square: f64 = pieces.iter().map(|piece| piece.square()).sum();
    let area: f64 = pieces.iter().map(|piece| piece.area()).sum();
    let factor = Complex64::new(0.0, halves / PI);
    let peaks = (1..=highest_order)
        .map(|order| {
            if alternates && order.is_multiple_of(2) {
                return Complex64::ZERO;
            }
            factor * pieces.iter().map(|piece| piece.line(order)).sum::<Complex64>()
        })
        .collect();
    let mean = if alternates { 0.0 } else { area / TAU };
    Some(ShapeLines { mean, rms: (halves * square / TAU).sqrt(), peaks })
}

fn sampled(shape: &Shape, highest_order: usize, samples_per_period: usize) -> ShapeLines {
    let fits = Synthesis::SAMPLES.max as usize / samples_per_period;
    let n = samples_per_period * fits.clamp(1, OVERSAMPLING);
    let mut samples: Vec<f64> =
        (0..n).map(|k| shape.at(TAU * (k as f64 + 0.5) / n as f64)).collect();
    let rms = (samples.iter().map(|x| x * x).sum::<f64>() / n as f64).sqrt();
    let transform = plans::forward(n);
    let mut bins = transform.make_output_vec();
    transform.process(&mut samples, &mut bins).expect("both buffers were made for this length");
    let half_cell_rad = PI / n as f64;
    let peak = |h: usize| {
        let turn_rad = half_cell_rad.mul_add(-(h as f64), 0.5 * PI);
        bins[h] * Complex64::from_polar(2.0 / n as f64, turn_rad)
    };
    ShapeLines { mean: bins[0].re / n as f64, rms, peaks: (1..=highest_order).map(peak).collect() }
}
