/// The kinds of series circuit whose steps are published.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CircuitClass {
    /// 6.6 A, three brightness steps.
    ThreeStep6A6,
    /// 6.6 A, five brightness steps.
    FiveStep6A6,
    /// 20 A, five brightness steps.
    FiveStep20A,
}

impl CircuitClass {
    /// Every class, in the order of listings.
    pub const ALL: [Self; 3] = [Self::ThreeStep6A6, Self::FiveStep6A6, Self::FiveStep20A];

    /// The name used in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::ThreeStep6A6 => "6.6A-3-step",
            Self::FiveStep6A6 => "6.6A-5-step",
            Self::FiveStep20A => "20A-5-step",
        }
    }

    /// The class with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.key() == key)
    }

    /// Nominal RMS currents from step 1 upwards.
    ///
    /// # Source
    /// UFC 3-535-01 (17 November 2005), tables 15-2 and 15-3; MIL-HDBK-1023/4 p. 52 for 20 A.
    #[must_use]
    pub fn nominals_a(self) -> &'static [f64] {
        match self {
            Self::ThreeStep6A6 => &[4.8, 5.5, 6.6],
            Self::FiveStep6A6 => &[2.8, 3.4, 4.1, 5.2, 6.6],
            Self::FiveStep20A => &[8.5, 10.3, 12.4, 15.8, 20.0],
        }
    }
}
