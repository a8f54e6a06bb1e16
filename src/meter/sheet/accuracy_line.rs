use crate::error::{Bounds, Error, Result};

use super::Range;

/// One line of the accuracy table: ±(% of reading + counts + % of full scale) on some ranges, in a
/// band of frequencies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AccuracyLine {
    /// The range it is meant for, by its full scale; `None` for every range.
    pub range_a: Option<f64>,
    /// Lowest frequency it is meant for.
    pub from_hz: f64,
    /// Highest frequency it is meant for.
    pub to_hz: f64,
    /// Part of the reading.
    pub reading_ratio: f64,
    /// Steps of the last digit.
    pub counts: f64,
    /// Part of the full scale: the class of a panel meter.
    pub full_scale_ratio: f64,
    /// Lowest reading it is meant for, as a share of the full scale.
    pub from_share_ratio: f64,
}

impl AccuracyLine {
    /// Parts of the reading or of the full scale.
    pub const PART_RATIO: Bounds = Bounds::new("accuracy", "", 0.0, 0.5);
    /// Counts.
    pub const COUNTS: Bounds = Bounds::new("counts of the accuracy", "", 0.0, 1000.0);
    /// Lowest share of the full scale.
    pub const SHARE_RATIO: Bounds = Bounds::new("lowest specified share of a range", "", 0.0, 1.0);

    /// A line for every range and every share of it.
    #[must_use]
    pub fn new(from_hz: f64, to_hz: f64, reading_ratio: f64, counts: f64) -> Self {
        Self {
            range_a: None,
            from_hz,
            to_hz,
            reading_ratio,
            counts,
            full_scale_ratio: 0.0,
            from_share_ratio: 0.0,
        }
    }

    /// Whether it is meant for this range and frequency.
    #[must_use]
    pub fn is_for(&self, range: &Range, frequency_hz: f64) -> bool {
        let same_range = self
            .range_a
            .is_none_or(|full_scale_a| (full_scale_a / range.full_scale_a - 1.0).abs() < 1e-9);
        same_range && self.from_hz <= frequency_hz && frequency_hz <= self.to_hz
    }

    /// The limit of error in amperes.
    ///
    /// # Formula
    /// reading_ratio · reading + counts · resolution + full_scale_ratio · full scale
    #[must_use]
    pub fn limit_a(&self, range: &Range, reading_a: f64) -> f64 {
        self.reading_ratio * reading_a
            + self.counts * range.resolution_a
            + self.full_scale_ratio * range.full_scale_a
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds; `Inconsistent` for frequencies the wrong way
    /// round.
    pub(super) fn check(&self) -> Result<()> {
        Self::PART_RATIO.check(self.reading_ratio)?;
        Self::PART_RATIO.check(self.full_scale_ratio)?;
        Self::COUNTS.check(self.counts)?;
        Self::SHARE_RATIO.check(self.from_share_ratio)?;
        let frequency = Bounds::new("frequency of an accuracy line", "Hz", 0.0, 1e9);
        if frequency.check(self.from_hz)? >= frequency.check(self.to_hz)? {
            return Err(Error::inconsistent(format!(
                "an accuracy line goes from {} Hz to {} Hz",
                self.from_hz, self.to_hz
            )));
        }
        Ok(())
    }
}
