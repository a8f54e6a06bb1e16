use crate::error::Result;
use crate::regulator::{OperatingPoint, Regulated, Step};
use crate::spectrum::Spectrum;

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
    const VOLTAGE_SAMPLES: usize = 1440;

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

    /// What an answer of the solver says.
    pub(super) fn of(step: &Step, answer: &Result<Regulated>) -> Self {
        let unsolved = Self::unsolved(step);
        match answer {
            Ok(Regulated::Held(point)) => Self::held(step, point).unwrap_or(unsolved),
            Ok(Regulated::OutOfReach(reach)) => Self {
                state: match reach.side {
                    crate::regulator::ReachSide::AboveHighest => StepState::AboveHighest,
                    crate::regulator::ReachSide::BelowLowest => StepState::BelowLowest,
                },
                limit_a: Some(reach.limit_a),
                ..unsolved
            },
            Err(_) => unsolved,
        }
    }

    fn held(step: &Step, point: &OperatingPoint) -> Result<Self> {
        let measures = point.output.measures();
        let voltage_v = point.output_voltage_v(Self::VOLTAGE_SAMPLES)?;
        let squares: f64 = voltage_v.iter().map(|v| v * v).sum();
        Ok(Self {
            state: StepState::Held,
            delay_rad: Some(point.delay_rad()),
            crest_factor: measures.dc.crest_factor(),
            form_factor: measures.dc.form_factor(),
            thd_ratio: Spectrum::of(&point.output).thd_ratio(Self::THD_ORDER),
            average_error_ratio: Some(point.average_responding_error_ratio()),
            output_rms_v: Some((squares / voltage_v.len() as f64).sqrt()),
            output_peak_v: voltage_v.iter().map(|v| v.abs()).reduce(f64::max),
            ..Self::unsolved(step)
        })
    }
}
