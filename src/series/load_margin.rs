use crate::error::{Bounds, Result};
use crate::regulator::ResonantValues;

use super::{LoadItem, LoadSum};

/// A load against the rating of its regulator: how full it is and what still fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadMargin {
    /// Rated power of the regulator.
    pub rated_va: f64,
    /// Share of the rating that the output tap in use gives: 1 without taps.
    pub tap_ratio: f64,
    /// The load.
    pub load: LoadSum,
}

impl LoadMargin {
    /// An output tap as a share of the rating.
    pub const TAP_RATIO: Bounds = Bounds::new("output tap", "of rated", 0.05, 1.0);
    /// The taps that are usual where a regulator has any.
    ///
    /// # Source
    /// UFC 3-535-01 (17 November 2005), figure 15-4: taps of 25, 50 and 75 %.
    pub const USUAL_TAPS: [f64; 4] = [0.25, 0.50, 0.75, 1.0];
    /// Share of the tap above which the current is least distorted.
    ///
    /// # Source
    /// UFC 3-535-01 (17 November 2005), figure 15-4: at least 80 % of the rated output is desired.
    pub const DESIRED_SHARE: f64 = 0.80;

    /// A load against a rating on a tap.
    ///
    /// # Errors
    /// `OutOfRange` for a rating or a tap out of bounds.
    pub fn new(load: LoadSum, rated_va: f64, tap_ratio: f64) -> Result<Self> {
        ResonantValues::POWER_W.check(rated_va)?;
        Self::TAP_RATIO.check(tap_ratio)?;
        Ok(Self { rated_va, tap_ratio, load })
    }

    /// Output voltage at the rated power.
    #[must_use]
    pub fn rated_voltage_rms_v(&self) -> f64 {
        self.rated_va / self.load.current_rms_a
    }

    /// The load as a share of the rating.
    #[must_use]
    pub fn share_of_rating(&self) -> f64 {
        self.load.apparent_va() / self.rated_va
    }

    /// The load as a share of what the tap gives.
    #[must_use]
    pub fn share_of_tap(&self) -> f64 {
        self.share_of_rating() / self.tap_ratio
    }

    /// What the tap still has left; below zero when the load is beyond it.
    #[must_use]
    pub fn spare_va(&self) -> f64 {
        self.tap_ratio * self.rated_va - self.load.apparent_va()
    }

    /// The smallest usual tap that carries the load; `None` when the rating does not.
    #[must_use]
    pub fn smallest_tap(&self) -> Option<f64> {
        Self::USUAL_TAPS.into_iter().find(|tap| self.share_of_rating() <= *tap)
    }

    /// Cable of one conductor that still fits; `None` when nothing does.
    ///
    /// # Formula
    /// l = S_spare / (I² r)
    #[must_use]
    pub fn spare_length_m(&self, resistance_ohm_per_m: f64) -> Option<f64> {
        let current_a = self.load.current_rms_a;
        let per_metre_w = current_a * current_a * resistance_ohm_per_m;
        (self.spare_va() > 0.0 && per_metre_w > 0.0).then(|| self.spare_va() / per_metre_w)
    }

    /// How many more of an item fit, without more cable; `None` when nothing is left.
    #[must_use]
    pub fn spare_count(&self, item: &LoadItem) -> Option<u32> {
        let each_va = item.each_va();
        (self.spare_va() > 0.0 && each_va > 0.0).then(|| (self.spare_va() / each_va).floor() as u32)
    }
}
