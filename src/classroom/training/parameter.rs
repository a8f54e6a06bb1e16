use crate::error::{Bounds, Error, Result};
use crate::meter::Archetype;
use crate::units::{Dimension, parse};

use super::TrainingOptions;

/// Something that may be chosen about a training figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parameter {
    /// The brightness step.
    Step,
    /// The load as a share of the rated resistance.
    Load,
    /// The largest share of lamps out.
    LampsOut,
    /// Total harmonic distortion.
    Thd,
    /// The conformance probability asked for.
    Probability,
    /// The kind of meter.
    Meter,
}

impl Parameter {
    /// Every parameter, in the order of lists.
    pub const ALL: [Self; 6] =
        [Self::Step, Self::Load, Self::LampsOut, Self::Thd, Self::Probability, Self::Meter];
    /// Steps of the training circuit.
    pub const STEP: Bounds = Bounds::new("step of the training circuit", "", 1.0, 5.0);
    /// Loads from the leads alone to the rated resistance.
    pub const LOAD_RATIO: Bounds = Bounds::new("load over rated load", "", 0.01, 1.0);
    /// Shares of lamps out.
    pub const LAMPS_OUT_RATIO: Bounds = Bounds::new("share of lamps out", "", 0.02, 0.3);
    /// Distortions at which the three currents differ and still cross zero twice a period.
    pub const THD_RATIO: Bounds = Bounds::new("total harmonic distortion", "", 0.02, 0.3);
    /// Conformance probabilities.
    pub const PROBABILITY_RATIO: Bounds = Bounds::new("conformance probability", "", 0.6, 0.999);

    /// Its name in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Step => "step",
            Self::Load => "load",
            Self::LampsOut => "lamps-out",
            Self::Thd => "thd",
            Self::Probability => "probability",
            Self::Meter => "meter",
        }
    }

    /// What it is, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Step => "brightness step",
            Self::Load => "load, as a share of the rated resistance",
            Self::LampsOut => "largest share of lamps out",
            Self::Thd => "total harmonic distortion",
            Self::Probability => "conformance probability asked for",
            Self::Meter => "kind of meter",
        }
    }

    /// The allowed values in words.
    #[must_use]
    pub fn allowed(self) -> String {
        match self {
            Self::Step => Self::STEP.to_string(),
            Self::Meter => Archetype::ALL.map(Archetype::key).join(", "),
            Self::Load => shares(&Self::LOAD_RATIO),
            Self::LampsOut => shares(&Self::LAMPS_OUT_RATIO),
            Self::Thd => shares(&Self::THD_RATIO),
            Self::Probability => shares(&Self::PROBABILITY_RATIO),
        }
    }

    /// Puts a value written as text ("3", "50 %", "average-responding-clamp") into options.
    ///
    /// # Errors
    /// `Malformed` for text that is no such value; `OutOfRange` for a value out of its bounds. Both
    /// name the parameter and say what is allowed.
    pub(super) fn put(self, text: &str, options: &mut TrainingOptions) -> Result<()> {
        self.try_put(text.trim(), options).map_err(|error| {
            error
                .with_context(format!("parameter \"{}\"", self.key()))
                .with_hint(format!("allowed: {}", self.allowed()))
        })
    }

    fn try_put(self, text: &str, options: &mut TrainingOptions) -> Result<()> {
        // Percent leave a last digit behind: 99.9 % must be as good as 0.999.
        let ratio = |bounds: Bounds| {
            let value = parse(text, Dimension::Ratio)?;
            bounds.check((1e12 * value).round() / 1e12).map(Some)
        };
        match self {
            Self::Step => {
                let number: f64 = text
                    .parse::<u32>()
                    .map(f64::from)
                    .map_err(|_| Error::malformed("the number of a step", format!("\"{text}\"")))?;
                Self::STEP.check(number)?;
                options.step = Some(number as u32);
            }
            Self::Load => options.load_ratio = ratio(Self::LOAD_RATIO)?,
            Self::LampsOut => options.lamps_out_ratio = ratio(Self::LAMPS_OUT_RATIO)?,
            Self::Thd => options.thd_ratio = ratio(Self::THD_RATIO)?,
            Self::Probability => options.probability = ratio(Self::PROBABILITY_RATIO)?,
            Self::Meter => {
                let kind = Archetype::from_key(text).ok_or_else(|| {
                    Error::malformed("the key of a kind of meter", format!("\"{text}\""))
                })?;
                options.meter = Some(kind);
            }
        }
        Ok(())
    }
}

/// Bounds of a ratio as percent.
fn shares(bounds: &Bounds) -> String {
    format!("{} % to {} %", percent(bounds.min), percent(bounds.max))
}

/// A ratio as percent without a tail of digits.
pub(super) fn percent(ratio: f64) -> f64 {
    (1e6 * ratio).round() / 1e4
}
