/// What a "4 to 1" stands for. The same number means different things; every ratio here says which.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RatioDefinition {
    /// Half-width of the tolerance over the expanded uncertainty U of the measurement, k as stated.
    ToleranceToExpanded,
    /// Width of the tolerance over four standard uncertainties (JCGM 106, capability index C_m).
    CapabilityIndex,
    /// Half-width of the tolerance over the accuracy claimed for the meter, nothing else counted.
    ToleranceToAccuracy,
    /// Standard deviation of the process over the standard uncertainty of the measurement.
    ProcessToMeasurement,
}

impl RatioDefinition {
    /// The definition in words, printed beside every ratio.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::ToleranceToExpanded => "half of the tolerance over the expanded uncertainty U",
            Self::CapabilityIndex => "the whole tolerance over four standard uncertainties",
            Self::ToleranceToAccuracy => {
                "half of the tolerance over the accuracy of the meter alone"
            }
            Self::ProcessToMeasurement => {
                "scatter of the process over the standard uncertainty of the measurement"
            }
        }
    }
}
