/// What makes a corrected reading uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Contributor {
    /// Scatter of repeated readings.
    Repeatability,
    /// The accuracy line of the data sheet.
    Accuracy,
    /// What the crest factor adds to it.
    Crest,
    /// The class of the clamp.
    ClampRatio,
    /// The conductor off the clamp's centre.
    Position,
    /// Temperature outside the span of the sheet.
    Temperature,
    /// The last digit.
    Resolution,
    /// The certificate of calibration.
    Certificate,
    /// A stretch of current that is not whole periods.
    Window,
    /// The spread of the correction over the possible waveforms.
    Waveform,
}

impl Contributor {
    /// The words printed in a budget.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Repeatability => "repeatability",
            Self::Accuracy => "accuracy of the data sheet",
            Self::Crest => "crest factor",
            Self::ClampRatio => "class of the clamp",
            Self::Position => "position of the conductor",
            Self::Temperature => "temperature",
            Self::Resolution => "resolution",
            Self::Certificate => "certificate",
            Self::Window => "window not synchronised",
            Self::Waveform => "gain over the possible waveforms",
        }
    }
}
