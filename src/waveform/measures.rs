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
        let mean_a = waveform.mean_a();
        let sums = moments::moments(samples_a, mean_a);
        let n = samples_a.len() as f64;
        let square_ac_a2 = sums.square_ac_a2 / n;
        Self {
            mean_a,
            max_a: sums.max_a,
            min_a: sums.min_a,
            ac: CoupledMeasures {
                rms_a: square_ac_a2.sqrt(),
                arv_a: sums.abs_ac_a / n,
                peak_a: (sums.max_a - mean_a).max(mean_a - sums.min_a),
            },
            // Σi² = Σ(i − mean)² + N mean²: exact, and safer than subtracting large squares.
            dc: CoupledMeasures {
                rms_a: mean_a.mul_add(mean_a, square_ac_a2).sqrt(),
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
    /// Peak divided by RMS; `None` for a zero current.
    #[must_use]
    pub fn crest_factor(&self) -> Option<f64> {
        (self.rms_a > 0.0).then(|| self.peak_a / self.rms_a)
    }

    /// RMS divided by average rectified value; `None` for a zero current.
    #[must_use]
    pub fn form_factor(&self) -> Option<f64> {
        (self.arv_a > 0.0).then(|| self.rms_a / self.arv_a)
    }
}
