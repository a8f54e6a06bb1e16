use crate::error::{Error, Result};

use super::{CrestCapability, Range, RangeRule};

/// The ranges of a meter, from the lowest, and how one is chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranges {
    /// The ranges, full scales rising.
    pub list: Vec<Range>,
    /// How one is chosen.
    pub rule: RangeRule,
}

impl Ranges {
    /// The range for a reading and the peak of what is measured; the highest when none is enough.
    ///
    /// `None` only for an empty list or a manual choice beyond it, which a checked sheet never has.
    #[must_use]
    pub fn choose(
        &self,
        reading_a: f64,
        peak_a: f64,
        crest: Option<&CrestCapability>,
    ) -> Option<&Range> {
        let holds_peak =
            |range: &Range| crest.is_none_or(|crest| peak_a <= crest.peak_limit_a(range));
        let enough = match self.rule {
            RangeRule::Manual(index) => return self.list.get(index),
            RangeRule::AutoByReading => {
                self.list.iter().find(|range| reading_a <= range.full_scale_a)
            }
            RangeRule::AutoByReadingAndPeak => {
                self.list.iter().find(|range| reading_a <= range.full_scale_a && holds_peak(range))
            }
        };
        enough.or(self.list.last())
    }

    /// # Errors
    /// `OutOfRange` as [`Range`]; `Inconsistent` for no range, full scales that do not rise, or a
    /// manual choice that is not in the list.
    pub(super) fn check(&self) -> Result<()> {
        for range in &self.list {
            range.check()?;
        }
        if self.list.is_empty() {
            return Err(Error::inconsistent("the meter has no range"));
        }
        if self.list.windows(2).any(|pair| pair[0].full_scale_a >= pair[1].full_scale_a) {
            return Err(Error::inconsistent("the full scales of the ranges do not rise"));
        }
        if let RangeRule::Manual(index) = self.rule
            && index >= self.list.len()
        {
            return Err(Error::inconsistent(format!(
                "range {} is chosen, but the meter has {}",
                index + 1,
                self.list.len()
            )));
        }
        Ok(())
    }
}
