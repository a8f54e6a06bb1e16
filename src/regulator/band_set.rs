use super::CircuitClass;

/// Where the bands around the nominal currents come from. The sources differ; none is "the" one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BandSet {
    /// UFC 3-535-01 of 2005, as printed.
    Ufc2005,
    /// MIL-HDBK-1023/4 of 1998, as printed, two evident misprints set right and noted.
    Mil1998,
    /// FAA AC 150/5345-10 from memory, not verified.
    FaaMemory,
}

impl BandSet {
    /// Every set, in the order of listings.
    pub const ALL: [Self; 3] = [Self::Ufc2005, Self::Mil1998, Self::FaaMemory];

    /// The name used in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Ufc2005 => "ufc-2005",
            Self::Mil1998 => "mil-1998",
            Self::FaaMemory => "faa-from-memory",
        }
    }

    /// The set with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|set| set.key() == key)
    }

    /// The set taken when the user names none: the first that was read in print for the class.
    #[must_use]
    pub fn default_for(class: CircuitClass) -> Self {
        match class {
            CircuitClass::ThreeStep6A6 | CircuitClass::FiveStep6A6 => Self::Ufc2005,
            CircuitClass::FiveStep20A => Self::Mil1998,
        }
    }
}
