/// Why a reading is off, in the order in which the current passes through the meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// The law by which the detector makes a number, coupling included.
    DetectorLaw,
    /// The clamp's high-pass: core, integrator, or the mean that does not come through.
    LowCutoff,
    /// What the meter does not see of the upper harmonics.
    Bandwidth,
    /// Offset and noise of the clamp.
    OffsetAndNoise,
    /// Peaks clipped by the range or by the clamp.
    CrestLimit,
    /// A stretch that is not whole periods.
    Window,
    /// Sample rate and bits.
    Converter,
    /// Rounding to the last digit.
    Resolution,
}

impl Cause {
    /// Every cause in the order of the chain.
    pub const ALL: [Self; 8] = [
        Self::DetectorLaw,
        Self::LowCutoff,
        Self::Bandwidth,
        Self::OffsetAndNoise,
        Self::CrestLimit,
        Self::Window,
        Self::Converter,
        Self::Resolution,
    ];

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DetectorLaw => "detector law",
            Self::LowCutoff => "low cut-off",
            Self::Bandwidth => "bandwidth",
            Self::OffsetAndNoise => "offset and noise",
            Self::CrestLimit => "crest limit",
            Self::Window => "window",
            Self::Converter => "converter",
            Self::Resolution => "resolution",
        }
    }

    /// The name used in documents.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::DetectorLaw => "detector-law",
            Self::LowCutoff => "low-cutoff",
            Self::Bandwidth => "bandwidth",
            Self::OffsetAndNoise => "offset-and-noise",
            Self::CrestLimit => "crest-limit",
            Self::Window => "window",
            Self::Converter => "converter",
            Self::Resolution => "resolution",
        }
    }
}
