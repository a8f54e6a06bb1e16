use crate::error::{Bounds, Result};

/// Measurement category of an input: what transients it is made for.
///
/// # Source
/// IEC 61010-2-030, categories II to IV; from memory, not verified.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum MeasurementCategory {
    /// Circuits plugged into a socket.
    Two,
    /// The installation of a building.
    Three,
    /// The source of the installation.
    Four,
}

impl MeasurementCategory {
    /// Every category.
    pub const ALL: [Self; 3] = [Self::Two, Self::Three, Self::Four];

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Two => "II",
            Self::Three => "III",
            Self::Four => "IV",
        }
    }

    /// The category with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|category| category.key() == key)
    }
}

/// The voltage a meter and its clamp may be used on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltageCategory {
    /// Its measurement category.
    pub category: MeasurementCategory,
    /// Working voltage to earth, RMS.
    pub working_v: f64,
}

impl VoltageCategory {
    /// Working voltages.
    pub const WORKING_V: Bounds = Bounds::new("working voltage of the meter", "V", 10.0, 100_000.0);

    /// "CAT III 1000 V".
    #[must_use]
    pub fn words(&self) -> String {
        format!("CAT {} {} V", self.category.key(), self.working_v)
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds.
    pub(super) fn check(&self) -> Result<()> {
        Self::WORKING_V.check(self.working_v).map(|_| ())
    }
}
