use super::{Coupling, Waveform, moments};

/// Every time-domain measure of a waveform, AC- and DC-coupled.
///
/// # Formula
/// rms = √(1/N Σ i²), arv = 1/N Σ |i|, peak = max |i|; AC-coupled: i is replaced by i − mean.
///
/// # Validity
/// The rectified mean of a sine on N samples a period is off by at most (π/N)²/3 of its value
/// (`law_rectified_mean_converges_with_order_two`).
///
/// # Source
/// Crest factor = peak / RMS and form factor = RMS / average rectified value: the usual
/// definitions of AC quantities.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Mean.
    pub mean_a: f64,
    /// Largest sample with its sign.
    pub max_a: f64,
    /// Smallest sample with its sign.
    pub min_a: f64,
    /// Measures with the mean removed.
    pub ac: CoupledMeasures,
    /// Measures with the mean kept.
    pub dc: CoupledMeasures,
}

/// The measures that depend on the coupling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoupledMeasures {
    /// True RMS.
    pub rms_a: f64,
    /// Average rectified value.
    pub arv_a: f64,
    /// Largest magnitude.
    pub peak_a: f64,
}

impl Measures {
    pub(super) fn of(waveform: &Waveform) -> Self {
        let samples_a = waveform.samples_a();
        let sums = moments::moments(samples_a, waveform.mean_a());
        let n = samples_a.len() as f64;
        let (max_a, min_a) = (sums.max_a, sums.min_a);
        // No mean lies outside the samples, whatever the rounding of its sum says.
        let mean_a = waveform.mean_a().clamp(min_a, max_a);
        let ac = if is_constant(min_a, max_a) {
            CoupledMeasures { rms_a: 0.0, arv_a: 0.0, peak_a: 0.0 }
        } else {
            // No deviation from the mean is larger on average than half of the span.
            let most_a = 0.5 * (max_a - min_a);
            CoupledMeasures {
                rms_a: (sums.square_ac_a2 / n).sqrt().min(most_a),
                arv_a: (sums.abs_ac_a / n).min(most_a),
                peak_a: (max_a - mean_a).max(mean_a - min_a),
            }
        };
        Self {
            mean_a,
            max_a,
            min_a,
            ac,
            // Σi² = Σ(i − mean)² + N mean²: exact, and safer than subtracting large squares.
            dc: CoupledMeasures {
                rms_a: mean_a.hypot(ac.rms_a),
                arv_a: sums.abs_a / n,
                peak_a: sums.max_a.max(-sums.min_a),
            },
        }
    }

    /// The measures of one coupling.
    #[must_use]
    pub fn coupled(&self, coupling: Coupling) -> &CoupledMeasures {
        match coupling {
            Coupling::Ac => &self.ac,
            Coupling::Dc => &self.dc,
        }
    }
}

impl CoupledMeasures {
    /// Peak divided by RMS; `None` for a current that is zero, or so small that its square is lost.
    #[must_use]
    pub fn crest_factor(&self) -> Option<f64> {
        (self.rms_a > LEAST_RMS_A).then(|| self.peak_a / self.rms_a)
    }

    /// RMS divided by average rectified value; `None` as for [`Self::crest_factor`].
    #[must_use]
    pub fn form_factor(&self) -> Option<f64> {
        (self.rms_a > LEAST_RMS_A && self.arv_a > 0.0).then(|| self.rms_a / self.arv_a)
    }
}

/// Squares of smaller values are no normal numbers any more: 1e-150² = 1e-300.
const LEAST_RMS_A: f64 = 1e-150;

/// Whether samples between these differ by no more than the rounding of the few operations (adding a
/// mean, scaling: half an ulp each) that may lie behind each of them.
pub(crate) fn is_constant(min: f64, max: f64) -> bool {
    max - min <= 4.0 * f64::EPSILON * max.abs().max(min.abs())
}
