use crate::error::{Bounds, Result};

use super::SteadyPart;

/// What a true RMS from a record is worth: standard uncertainties relative to it.
///
/// # Formula
/// scaling: a/√3, a the clamp's limit of error as a ratio (evenly spread); noise: s/(I √n), s the
/// standard deviation of the RMS of n single periods; window: |CF² − 1|/(2n) · s_f/f, the most that an
/// end of the window misplaced by s_f/f of a period can add or take away; combined: root of the sum
/// of squares; expanded: two times that.
///
/// # Source
/// GUM (JCGM 100), 4.3.7 for the even spread and 6.2 for the expanded one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RmsUncertainty {
    /// From the clamp or shunt and its input; `None` when nobody says how good they are.
    pub scaling_ratio: Option<f64>,
    /// From the scatter of single periods; `None` for fewer than two.
    pub noise_ratio: Option<f64>,
    /// From ends of the window between samples and a frequency that is not exact.
    pub window_ratio: Option<f64>,
}

impl RmsUncertainty {
    /// Limit of error of a clamp, as a ratio of what it shows.
    pub const CLAMP_LIMIT_RATIO: Bounds = Bounds::new("clamp's limit of error", "", 0.0, 0.5);
    /// Coverage factor of the expanded uncertainty.
    pub const COVERAGE_FACTOR: f64 = 2.0;

    /// The uncertainty of a steady part's RMS, with the clamp's limit of error if it is known.
    ///
    /// # Errors
    /// `OutOfRange` for a limit that makes no sense.
    pub fn of(part: &SteadyPart, clamp_limit_ratio: Option<f64>) -> Result<Self> {
        let scaling_ratio = clamp_limit_ratio
            .map(|limit| Self::CLAMP_LIMIT_RATIO.check(limit))
            .transpose()?
            .map(|limit| limit / 3.0_f64.sqrt());
        let (rms_a, periods) = (part.rms_a(), part.periods() as f64);
        let flows = rms_a > 0.0;
        let noise_ratio =
            part.rms_deviation_a().filter(|_| flows).map(|s_a| s_a / (rms_a * periods.sqrt()));
        let window_ratio = part.frequency_deviation_hz().filter(|_| flows).map(|s_hz| {
            let crest = part.peak_a() / rms_a;
            (crest * crest - 1.0).abs() / (2.0 * periods) * s_hz / part.frequency_hz()
        });
        Ok(Self { scaling_ratio, noise_ratio, window_ratio })
    }

    /// What is known, combined.
    #[must_use]
    pub fn combined_ratio(&self) -> f64 {
        let known = [self.scaling_ratio, self.noise_ratio, self.window_ratio];
        known.into_iter().flatten().map(|ratio| ratio * ratio).sum::<f64>().sqrt()
    }

    /// What is known, expanded.
    #[must_use]
    pub fn expanded_ratio(&self) -> f64 {
        Self::COVERAGE_FACTOR * self.combined_ratio()
    }
}
