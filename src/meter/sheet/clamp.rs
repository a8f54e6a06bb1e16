use crate::error::Result;
use crate::waveform::Coupling;

use super::{ClampLimit, FlexibleCoil, Hall, IronCore};

/// How the current gets into the meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Clamp {
    /// The meter is in the circuit: a shunt or a movement, no clamp.
    Direct,
    /// An iron-core clamp.
    IronCore(IronCore),
    /// A Hall clamp.
    Hall(Hall),
    /// A flexible coil.
    FlexibleCoil(FlexibleCoil),
}

impl Clamp {
    /// Whether the mean of the current gets through.
    #[must_use]
    pub fn coupling(&self) -> Coupling {
        match self {
            Self::Direct | Self::Hall(_) => Coupling::Dc,
            Self::IronCore(_) | Self::FlexibleCoil(_) => Coupling::Ac,
        }
    }

    /// Corner of its high-pass, where it has one and it is known.
    #[must_use]
    pub fn low_cutoff_hz(&self) -> Option<f64> {
        match self {
            Self::Direct | Self::Hall(_) => None,
            Self::IronCore(core) => core.low_cutoff_hz,
            Self::FlexibleCoil(coil) => Some(coil.droop_hz),
        }
    }

    /// Peak current at which it saturates, where it can and that is known.
    #[must_use]
    pub fn saturation_peak_a(&self) -> Option<f64> {
        match self {
            Self::IronCore(core) => core.saturation_peak_a,
            Self::Hall(hall) => hall.saturation_peak_a,
            Self::Direct | Self::FlexibleCoil(_) => None,
        }
    }

    /// Offset it adds, with its sign.
    #[must_use]
    pub fn offset_a(&self) -> f64 {
        if let Self::Hall(hall) = self { hall.offset_a } else { 0.0 }
    }

    /// RMS of the noise it adds.
    #[must_use]
    pub fn noise_rms_a(&self) -> f64 {
        match self {
            Self::Direct | Self::IronCore(_) => 0.0,
            Self::Hall(hall) => hall.noise_rms_a,
            Self::FlexibleCoil(coil) => coil.noise_rms_a,
        }
    }

    /// How far its class lets the ratio be off at a current; `None` without a class.
    #[must_use]
    pub fn limit(&self, current_rms_a: f64) -> Option<ClampLimit> {
        if let Self::IronCore(core) = self { core.limit(current_rms_a) } else { None }
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Direct => "in the circuit".into(),
            Self::IronCore(core) => match core.class {
                Some(class) => format!("iron core, {} A, class {}", core.rated_a, class.key()),
                None => format!("iron core, {} A", core.rated_a),
            },
            Self::Hall(_) => "Hall sensor".into(),
            Self::FlexibleCoil(_) => "flexible coil".into(),
        }
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        match self {
            Self::Direct => Ok(()),
            Self::IronCore(core) => core.check(),
            Self::Hall(hall) => hall.check(),
            Self::FlexibleCoil(coil) => coil.check(),
        }
    }
}
