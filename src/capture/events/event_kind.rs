/// What happened, and how large it was.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum EventKind {
    /// Current where there was none before.
    SwitchedOn {
        /// RMS it settled at.
        to_rms_a: f64,
    },
    /// No current from here on.
    SwitchedOff {
        /// RMS before.
        from_rms_a: f64,
    },
    /// From one steady RMS to another.
    StepChange {
        /// RMS before.
        from_rms_a: f64,
        /// RMS it settled at; the last one when the record ends first.
        to_rms_a: f64,
    },
    /// More than the settled current for a while after switching on or stepping up.
    Inrush {
        /// Largest magnitude.
        peak_a: f64,
        /// Largest one-cycle RMS.
        most_rms_a: f64,
        /// RMS it settled at.
        settled_rms_a: f64,
    },
    /// No current for a while.
    Dropout {
        /// RMS before.
        from_rms_a: f64,
        /// Smallest one-cycle RMS.
        least_rms_a: f64,
    },
    /// More or less than before for a while, and then as before.
    Excursion {
        /// RMS before and after.
        level_rms_a: f64,
        /// One-cycle RMS farthest from it.
        extreme_rms_a: f64,
    },
    /// The same largest or smallest value again and again where the flanks say that the current went
    /// on: the converter's rails. A flat top free of noise looks the same.
    Clipping {
        /// Upper rail, when it was reached.
        high_rail_a: Option<f64>,
        /// Lower rail, when it was reached.
        low_rail_a: Option<f64>,
        /// Periods in which one of them was.
        periods: u64,
    },
    /// Peaks may lie between the samples: the crest factor cannot be trusted.
    RateTooLow {
        /// Samples in a period.
        samples_per_period: f64,
        /// Part of the peak that is lost when every other sample is left out.
        peak_loss_ratio: f64,
    },
    /// A line where a harmonic above half of the sample rate would be folded to.
    AliasingSuspected {
        /// Where the line stands.
        line_hz: f64,
        /// Order of the harmonic that would be folded there.
        order: usize,
        /// Its RMS relative to the fundamental.
        ratio: f64,
    },
    /// A mean in a current that a transformer feeds: the zero of a Hall clamp, most likely.
    DirectCurrent {
        /// Mean.
        mean_a: f64,
        /// Mean relative to the RMS.
        ratio: f64,
    },
    /// Samples that the record does not give.
    Gap {
        /// How many.
        samples: u64,
    },
}

impl EventKind {
    /// Stable short name.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::SwitchedOn { .. } => "switched-on",
            Self::SwitchedOff { .. } => "switched-off",
            Self::StepChange { .. } => "step-change",
            Self::Inrush { .. } => "inrush",
            Self::Dropout { .. } => "dropout",
            Self::Excursion { .. } => "excursion",
            Self::Clipping { .. } => "clipping",
            Self::RateTooLow { .. } => "rate-too-low",
            Self::AliasingSuspected { .. } => "aliasing-suspected",
            Self::DirectCurrent { .. } => "direct-current",
            Self::Gap { .. } => "gap",
        }
    }

    /// Whether it says that something in the record itself cannot be trusted.
    #[must_use]
    pub fn doubts_record(&self) -> bool {
        matches!(
            self,
            Self::Clipping { .. }
                | Self::RateTooLow { .. }
                | Self::AliasingSuspected { .. }
                | Self::DirectCurrent { .. }
                | Self::Gap { .. }
        )
    }
}
