/// What a reading at the output says of regulator and field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LoadDiagnosis {
    /// Current in its band, load as calculated.
    Satisfactory,
    /// Current in its band, load well below the calculated one.
    PartialShort,
    /// Current in its band, load well above the calculated one.
    MoreThanCalculated,
    /// Current below its band, load within the rating.
    RegulatorLow,
    /// Current below its band, load beyond the rating.
    Overloaded,
    /// Current above its band.
    RegulatorHigh,
}

impl LoadDiagnosis {
    /// Every diagnosis.
    pub const ALL: [Self; 6] = [
        Self::Satisfactory,
        Self::PartialShort,
        Self::MoreThanCalculated,
        Self::RegulatorLow,
        Self::Overloaded,
        Self::RegulatorHigh,
    ];

    /// Stable short name.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Satisfactory => "satisfactory",
            Self::PartialShort => "partial-short",
            Self::MoreThanCalculated => "more-than-calculated",
            Self::RegulatorLow => "regulator-low",
            Self::Overloaded => "overloaded",
            Self::RegulatorHigh => "regulator-high",
        }
    }

    /// The diagnosis and what to do, in a technician's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Satisfactory => "current in tolerance, load as calculated: satisfactory",
            Self::PartialShort => {
                "current in tolerance, load below the calculated one: partial short of the load; \
                 look for two earth faults or a bridged part of the loop"
            }
            Self::MoreThanCalculated => {
                "current in tolerance, load above the calculated one: open secondaries, a poor joint, \
                 or equipment that is not in the calculation"
            }
            Self::RegulatorLow => {
                "current below tolerance, load within the rating: faulty regulator; do a \
                 short-circuit test"
            }
            Self::Overloaded => {
                "current below tolerance, load beyond the rating: the field is too large for this \
                 regulator or its tap"
            }
            Self::RegulatorHigh => {
                "current above tolerance: the regulator is set too high or faulty; lamps burn out \
                 early"
            }
        }
    }
}
