use crate::description::RegulatorSetup;
use crate::error::{Error, Result};
use crate::units::{self, Dimension};

/// What is connected to the regulator's output.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Output {
    /// The load at which the description sets its steps.
    #[default]
    AsSet,
    /// A load that is this share of the rated load resistance.
    Load(f64),
    /// The description's field.
    Field,
}

impl Output {
    /// Load of an output shorted with its leads. Ours: leads are about 1 to 2 % of the rated resistance.
    pub const SHORTED_RATIO: f64 = 0.02;
    /// Load that uses the whole rating.
    pub const FULL_RATIO: f64 = 1.0;
    /// How it is written.
    pub const ALLOWED: &'static str = "as-set, shorted, full, field, or a share such as \"60 %\"";

    /// Reads it as it is written: `as-set`, `shorted`, `full`, `field`, or a share.
    ///
    /// # Errors
    /// `Malformed` for other words, `OutOfRange` outside [`RegulatorSetup::LOAD_RATIO`].
    pub fn parse(text: &str) -> Result<Self> {
        match text.trim() {
            "as-set" => Ok(Self::AsSet),
            "shorted" => Ok(Self::Load(Self::SHORTED_RATIO)),
            "full" => Ok(Self::Load(Self::FULL_RATIO)),
            "field" => Ok(Self::Field),
            other => {
                let ratio = units::parse(other, Dimension::Ratio)
                    .map_err(|_| Error::malformed(Self::ALLOWED, format!("\"{other}\"")))?;
                RegulatorSetup::LOAD_RATIO.check(ratio).map(Self::Load)
            }
        }
    }

    /// Its words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::AsSet => "the load at which the steps are set".into(),
            Self::Load(ratio) if *ratio <= Self::SHORTED_RATIO => "output shorted".into(),
            Self::Load(ratio) => format!("load {} % of rated", (1e4 * ratio).round() / 1e2),
            Self::Field => "the field".into(),
        }
    }
}
