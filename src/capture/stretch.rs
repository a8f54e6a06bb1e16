use std::ops::Range;

use crate::error::{Error, Result};

/// Which part of a record is looked at.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Stretch {
    /// The longest steady stretch of current without a gap.
    #[default]
    Steady,
    /// The longest stretch without a gap, steady or not.
    Whole,
    /// From one time to another, in seconds after the first sample; an end left out is the record's.
    Seconds {
        /// Start; `None` is the first sample.
        from_s: Option<f64>,
        /// End; `None` is the last sample.
        to_s: Option<f64>,
    },
    /// Samples counted from 0, the end not included; an end left out is the record's.
    Samples {
        /// First sample.
        from: usize,
        /// One past the last sample.
        to: Option<usize>,
    },
}

impl Stretch {
    /// The samples asked for, or `None` when the choice is left to the program.
    ///
    /// # Errors
    /// `Inconsistent` when the ends are not inside the record or not in order.
    pub(super) fn asked(&self, count: usize, sample_rate_hz: f64) -> Result<Option<Range<usize>>> {
        let range = match self {
            Self::Steady | Self::Whole => return Ok(None),
            Self::Samples { from, to } => *from..to.unwrap_or(count),
            Self::Seconds { from_s, to_s } => {
                let from = (from_s.unwrap_or(0.0) * sample_rate_hz).round();
                let to = to_s.map_or(count as f64, |to_s| (to_s * sample_rate_hz).round());
                if !(from >= 0.0 && to >= 0.0) {
                    return Err(outside(count, sample_rate_hz));
                }
                // Saturating conversion; what lies beyond the record is refused below.
                from as usize..to as usize
            }
        };
        if range.start < range.end && range.end <= count {
            Ok(Some(range))
        } else {
            Err(outside(count, sample_rate_hz))
        }
    }
}

fn outside(count: usize, sample_rate_hz: f64) -> Error {
    Error::inconsistent("the stretch asked for is empty or not inside the record").with_hint(
        format!("the record holds {count} samples, {:.6} s", count as f64 / sample_rate_hz),
    )
}
