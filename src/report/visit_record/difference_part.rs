use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::{Difference, Visit};
use crate::regulator::Step;

/// A step as left with the output shorted against the same step with the field connected.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DifferencePart {
    /// Number of the step.
    pub step: u32,
    /// The number shown with the output shorted.
    pub shorted_shown_a: f64,
    /// The number shown with the field connected.
    pub field_shown_a: f64,
    /// Field minus shorted, as shown.
    pub shown_a: f64,
    /// Field minus shorted, true RMS; `null` where one of the two was not judged.
    pub true_rms_a: Option<f64>,
    /// Half of the step's band.
    pub half_band_a: f64,
    /// Whether the difference of the true currents is no larger than half of the band; `null` where
    /// it is not known.
    pub is_within: Option<bool>,
    /// Whether one of the two was read as found only: if the step was adjusted after that, two settings
    /// are compared.
    pub may_be_two_settings: bool,
}

impl DifferencePart {
    /// Where a difference larger than the tolerance is said to mean a fault of loop or regulator.
    pub const SOURCE: &'static str =
        "MIL-HDBK-1023/4 (30 November 1998, cancelled), p. 52, short-circuit test";

    /// Every step that was read both ways.
    pub(super) fn all(visit: &Visit, steps: &[Step]) -> Vec<Self> {
        let of = |difference: Difference<'_>| {
            let step = steps.iter().find(|step| step.number == difference.step)?;
            let (shorted_shown_a, field_shown_a) =
                (difference.shorted.shown_a, difference.field.shown_a);
            let true_rms_a = difference.true_rms_a().map(|(shorted, field)| field - shorted);
            let half_band_a = 0.5 * (step.band.high_a() - step.band.low_a());
            Some(Self {
                step: step.number,
                shorted_shown_a,
                field_shown_a,
                shown_a: field_shown_a - shorted_shown_a,
                true_rms_a,
                half_band_a,
                is_within: true_rms_a.map(|difference_a| difference_a.abs() <= half_band_a),
                may_be_two_settings: difference.may_be_two_settings(),
            })
        };
        let numbers = steps.iter().map(|step| step.number);
        Difference::all(visit, numbers).into_iter().filter_map(of).collect()
    }
}
