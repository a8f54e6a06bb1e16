use super::StepOutcome;

/// What an estimate gives an interval for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EstimatedOutput {
    /// Crest factor of the output current.
    CrestFactor,
    /// Error of an average-responding meter, as a ratio.
    AverageError,
    /// Largest magnitude of the output voltage.
    OutputPeak,
}

impl EstimatedOutput {
    /// Every output, in the order of listings.
    pub const ALL: [Self; 3] = [Self::CrestFactor, Self::AverageError, Self::OutputPeak];

    /// Its name in documents, with the unit.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::CrestFactor => "crest_factor",
            Self::AverageError => "average_error_ratio",
            Self::OutputPeak => "output_peak_v",
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::CrestFactor => "crest factor",
            Self::AverageError => "average-responding meter, error",
            Self::OutputPeak => "output voltage, peak",
        }
    }

    /// Its value; `None` when the step is not held.
    #[must_use]
    pub fn of(self, outcome: &StepOutcome) -> Option<f64> {
        match self {
            Self::CrestFactor => outcome.crest_factor,
            Self::AverageError => outcome.average_error_ratio,
            Self::OutputPeak => outcome.output_peak_v,
        }
    }
}
