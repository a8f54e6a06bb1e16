use crate::regulator::Step;

/// What one circuit does at one step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepOutcome {
    /// The step's number.
    pub step: u32,
    /// Its nominal current.
    pub nominal_rms_a: f64,
    /// Whether it is held.
    pub state: StepState,
    /// The highest or lowest current that can be held, when the nominal cannot.
    pub limit_a: Option<f64>,
    /// Firing delay.
    pub delay_rad: Option<f64>,
    /// Crest factor of the output current.
    pub crest_factor: Option<f64>,
    /// Form factor of the output current.
    pub form_factor: Option<f64>,
    /// THD of the output current, orders 2 to [`Self::THD_ORDER`].
    pub thd_ratio: Option<f64>,
    /// Error of an average-responding meter.
    pub average_error_ratio: Option<f64>,
    /// True RMS of the output voltage.
    pub output_rms_v: Option<f64>,
    /// Largest magnitude of the output voltage.
    pub output_peak_v: Option<f64>,
}

/// How the search for an operating point ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepState {
    /// The current is held.
    Held,
    /// The regulator cannot go so low.
    BelowLowest,
    /// The regulator cannot go so high.
    AboveHighest,
    /// Neither a solution nor a limit was found.
    Unsolved,
}

impl StepState {
    /// A short name for files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::BelowLowest => "below-lowest",
            Self::AboveHighest => "above-highest",
            Self::Unsolved => "unsolved",
        }
    }
}

impl StepOutcome {
    /// Highest order counted in the THD.
    pub const THD_ORDER: usize = 50;
    /// Samples of the output voltage in a period.
    pub(super) const VOLTAGE_SAMPLES: usize = 1440;

    /// A step of which nothing is known yet.
    pub(super) fn unsolved(step: &Step) -> Self {
        Self {
            step: step.number,
            nominal_rms_a: step.nominal.a(),
            state: StepState::Unsolved,
            limit_a: None,
            delay_rad: None,
            crest_factor: None,
            form_factor: None,
            thd_ratio: None,
            average_error_ratio: None,
            output_rms_v: None,
            output_peak_v: None,
        }
    }

    /// Whether the step is held.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.state == StepState::Held
    }
}
