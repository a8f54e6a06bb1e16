use crate::error::{Bounds, Error, Result};

use super::{CrestBand, Range};

/// Which crest factors a meter can take, and what they cost.
///
/// # Formula
/// Peak limit = at_full_scale · full scale; allowed crest factor at a reading I = at_full_scale ·
/// full scale / I, at most `cap`.
///
/// # Source
/// "Crest factor 3 at full scale" meaning a peak of three times the range, growing as the reading
/// falls and usually capped: convention, from memory, not verified.
#[derive(Clone, Debug, PartialEq)]
pub struct CrestCapability {
    /// Crest factor it takes at full scale.
    pub at_full_scale: f64,
    /// Highest crest factor it is specified for at any reading; `None` when the sheet sets none.
    pub cap: Option<f64>,
    /// Added error by crest factor, edges rising; empty when the sheet gives none.
    pub bands: Vec<CrestBand>,
}

impl CrestCapability {
    /// Crest factors: none is below 1.
    pub const CREST_FACTOR: Bounds = Bounds::new("crest-factor capability", "", 1.0, 1000.0);
    /// Error added for crest.
    pub const ADDED_RATIO: Bounds = Bounds::new("added error for the crest factor", "", 0.0, 1.0);

    /// Peak at which a range clips.
    #[must_use]
    pub fn peak_limit_a(&self, range: &Range) -> f64 {
        self.at_full_scale * range.full_scale_a
    }

    /// Highest crest factor allowed at a reading on a range.
    #[must_use]
    pub fn allowed(&self, range: &Range, reading_a: f64) -> f64 {
        let by_peak = self.peak_limit_a(range) / reading_a.max(f64::MIN_POSITIVE);
        self.cap.map_or(by_peak, |cap| by_peak.min(cap))
    }

    /// Largest added error at a crest factor; `None` beyond the last band of a table.
    #[must_use]
    pub fn added_ratio(&self, crest_factor: f64) -> Option<f64> {
        if self.bands.is_empty() {
            return Some(0.0);
        }
        let band = self.bands.iter().find(|band| crest_factor <= band.up_to)?;
        Some(band.added_ratio)
    }

    /// # Errors
    /// `OutOfRange` for a crest factor below 1 or another value outside its bounds; `Inconsistent`
    /// for a cap below the value at full scale or edges that do not rise.
    pub(super) fn check(&self) -> Result<()> {
        let hint = "no current has a crest factor below 1";
        let crest =
            |factor: f64| Self::CREST_FACTOR.check(factor).map_err(|error| error.with_hint(hint));
        crest(self.at_full_scale)?;
        if let Some(cap) = self.cap
            && crest(cap)? < self.at_full_scale
        {
            return Err(Error::inconsistent(format!(
                "the cap {cap} of the crest factor is below its value at full scale, {}",
                self.at_full_scale
            )));
        }
        for band in &self.bands {
            crest(band.up_to)?;
            Self::ADDED_RATIO.check(band.added_ratio)?;
        }
        if self.bands.windows(2).any(|pair| pair[0].up_to >= pair[1].up_to) {
            return Err(Error::inconsistent("the bands of the crest factor do not rise"));
        }
        Ok(())
    }
}
