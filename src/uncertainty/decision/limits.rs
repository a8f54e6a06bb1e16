use crate::error::{Error, Result};

/// A lower limit, an upper limit, or both; the limits themselves are inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    lower: Option<f64>,
    upper: Option<f64>,
}

impl Limits {
    /// From one or two limits.
    ///
    /// # Errors
    /// `Inconsistent` for no limit at all, one that is not finite, or a lower not below the upper.
    pub fn new(lower: Option<f64>, upper: Option<f64>) -> Result<Self> {
        if lower.into_iter().chain(upper).any(|limit| !limit.is_finite()) {
            return Err(Error::inconsistent("a limit is not a finite number"));
        }
        match (lower, upper) {
            (None, None) => Err(Error::inconsistent("nothing can be decided without a limit")),
            (Some(low), Some(high)) if low >= high => Err(Error::inconsistent(format!(
                "limits from {low} to {high} leave nothing inside"
            ))),
            _ => Ok(Self { lower, upper }),
        }
    }

    /// A lower and an upper limit.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn between(lower: f64, upper: f64) -> Result<Self> {
        Self::new(Some(lower), Some(upper))
    }

    /// An upper limit alone.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn at_most(upper: f64) -> Result<Self> {
        Self::new(None, Some(upper))
    }

    /// A lower limit alone.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn at_least(lower: f64) -> Result<Self> {
        Self::new(Some(lower), None)
    }

    /// The lower limit, where there is one.
    #[must_use]
    pub fn lower(&self) -> Option<f64> {
        self.lower
    }

    /// The upper limit, where there is one.
    #[must_use]
    pub fn upper(&self) -> Option<f64> {
        self.upper
    }

    /// Half of the distance between both limits; `None` for a single one.
    #[must_use]
    pub fn half_width(&self) -> Option<f64> {
        Some(0.5 * (self.upper? - self.lower?))
    }

    /// Whether a value lies inside.
    #[must_use]
    pub fn contain(&self, value: f64) -> bool {
        self.lower.is_none_or(|lower| value >= lower)
            && self.upper.is_none_or(|upper| value <= upper)
    }

    /// The limits moved inwards, or outwards for a negative distance; `None` when they meet and leave
    /// not even a point.
    #[must_use]
    pub fn narrowed(&self, by: f64) -> Option<Self> {
        let lower = self.lower.map(|lower| lower + by);
        let upper = self.upper.map(|upper| upper - by);
        Self::new(lower, upper).ok()
    }
}
