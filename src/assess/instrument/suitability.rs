/// Whether a meter may set a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Suitability {
    /// Its uncertainty leaves at least half of the band to set the current in.
    Fit,
    /// It may, but only within a set-band that is narrower than that or does not hold the nominal, or
    /// only for the currents given.
    WithCare,
    /// It may not.
    NotFit,
}

impl Suitability {
    /// Share of the band that must be left for a plain "fit". Our own choice: with less, the person
    /// trims against the meter's doubt rather than against the band.
    pub const FIT_KEEPS_RATIO: f64 = 0.5;

    /// Numbers of the display that must be left to aim at. Our own choice: with fewer, the last digit
    /// decides, and its flicker is part of the doubt.
    pub const LEAST_NUMBERS: f64 = 3.0;

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::WithCare => "fit with care",
            Self::NotFit => "not fit",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::WithCare => "fit-with-care",
            Self::NotFit => "not-fit",
        }
    }
}
