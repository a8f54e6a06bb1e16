use crate::cited::{Cited, Evidence, Source};
use crate::error::{Bounds, Result};

/// Loss of one isolating transformer with its secondary leads, as the load calculation counts it.
#[derive(Clone, Debug, PartialEq)]
pub enum TransformerLoss {
    /// A share of what the fixture takes.
    Share(Cited<f64>),
    /// Watts for each transformer.
    PowerW(f64),
}

/// Lamp power and loss share in the printed example.
const PRINTED: [(f64, f64); 2] = [(120.0, 0.18), (200.0, 0.11)];
const EXAMPLE: &str = "UFC 3-535-01 (17 November 2005), figure 15-4";

impl TransformerLoss {
    /// Loss as a share of what the fixture takes.
    pub const SHARE: Bounds = Bounds::new("transformer loss", "", 0.0, 1.0);
    /// Loss in watts.
    pub const POWER_W: Bounds = Bounds::new("transformer loss", "W", 0.0, 500.0);

    /// The share used when none is given: the two printed ones, a straight line between them, and
    /// the nearer of them beyond.
    ///
    /// # Source
    /// UFC 3-535-01, figure 15-4: 18 % at 120 W, 11 % at 200 W. The line between them is ours.
    #[must_use]
    pub fn usual(fixture_power_w: f64) -> Self {
        let [(small_w, small), (large_w, large)] = PRINTED;
        let along = ((fixture_power_w - small_w) / (large_w - small_w)).clamp(0.0, 1.0);
        let is_printed =
            PRINTED.iter().any(|(power_w, _)| (power_w - fixture_power_w).abs() < 1e-9);
        let source = if is_printed {
            Source::known(EXAMPLE, "formula lines of the fixtures", Evidence::Printed)
        } else {
            Source::known(EXAMPLE, "between its 18 % at 120 W and 11 % at 200 W", Evidence::Derived)
        };
        Self::Share(Cited { value: small + along * (large - small), source })
    }

    /// A share entered by a person.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::SHARE`].
    pub fn entered_share(ratio: f64, source: impl Into<String>) -> Result<Self> {
        Ok(Self::Share(Cited { value: Self::SHARE.check(ratio)?, source: Source::entered(source) }))
    }

    /// The loss of one transformer whose fixture takes this power.
    #[must_use]
    pub fn of(&self, fixture_power: f64) -> f64 {
        match self {
            Self::Share(share) => share.value * fixture_power,
            Self::PowerW(power_w) => *power_w,
        }
    }
}
