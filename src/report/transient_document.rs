use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, RegulatorSetup};
use crate::regulator::{HalfCycle, LoopRun};

use super::Document;
use super::recheck_part::sense_key;
use super::survey_document::program;

/// Part of the target within which a run counts as settled.
const SETTLED_RATIO: f64 = 0.015;

/// A run of the regulator with its control closed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TransientDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator and its load at the beginning.
    pub regulator: String,
    /// What happens, in words.
    pub change: String,
    /// When it happens.
    pub change_at_s: f64,
    /// What the control senses: `true-rms` or `average`.
    pub control_senses: &'static str,
    /// Proportional gain per unit of relative error.
    pub control_proportional_deg: f64,
    /// Integral gain per half cycle and unit of relative error.
    pub control_integral_deg: f64,
    /// Time after the change from which the RMS of each cycle stays within `settled_within_ratio`
    /// of the target; absent when it does not.
    pub settled_after_s: Option<f64>,
    /// The part of the target meant.
    pub settled_within_ratio: f64,
    /// Highest RMS of any cycle after the change.
    pub highest_cycle_rms_a: Option<f64>,
    /// Largest magnitude of the current after the change.
    pub highest_peak_a: Option<f64>,
    /// Half cycle by half cycle.
    pub half_cycles: Vec<HalfCyclePart>,
}

/// What a run shows at the end of a half cycle.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HalfCyclePart {
    /// The instant.
    pub time_s: f64,
    /// True RMS over this half cycle.
    pub half_cycle_rms_a: f64,
    /// True RMS over the last full cycle.
    pub cycle_rms_a: Option<f64>,
    /// What the control senses over the last cycle.
    pub sensed_a: Option<f64>,
    /// Largest magnitude in this half cycle.
    pub peak_a: f64,
    /// Target in force.
    pub target_a: f64,
    /// Firing delay from here on.
    pub delay_deg: f64,
}

impl From<&HalfCycle> for HalfCyclePart {
    fn from(half: &HalfCycle) -> Self {
        Self {
            time_s: half.time_s,
            half_cycle_rms_a: half.half_cycle_rms_a,
            cycle_rms_a: half.cycle_rms_a,
            sensed_a: half.sensed_a,
            peak_a: half.peak_a,
            target_a: half.target_a,
            delay_deg: half.delay_rad.to_degrees(),
        }
    }
}

impl TransientDocument {
    /// The document of a run in which something changes at an instant.
    #[must_use]
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        change: String,
        change_at_s: f64,
        run: &LoopRun,
    ) -> Self {
        let end_s = run.half_cycles.last().map_or(change_at_s, |half| half.time_s);
        let after = run.half_cycles.iter().filter(|half| half.time_s > change_at_s);
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.words(setup.load_ratio),
            change,
            change_at_s,
            control_senses: sense_key(setup.sense),
            control_proportional_deg: setup.control.proportional_rad.to_degrees(),
            control_integral_deg: setup.control.integral_rad.to_degrees(),
            settled_after_s: run
                .settled_s(change_at_s, end_s, SETTLED_RATIO)
                .map(|settled_s| settled_s - change_at_s),
            settled_within_ratio: SETTLED_RATIO,
            highest_cycle_rms_a: run.highest_cycle_rms_a(change_at_s, end_s),
            highest_peak_a: after.map(|half| half.peak_a).max_by(f64::total_cmp),
            half_cycles: run.half_cycles.iter().map(HalfCyclePart::from).collect(),
        }
    }
}
