use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::Visit;
use crate::procedure::entry::{Moment, Output};
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
}

impl DifferencePart {
    /// Where a difference larger than the tolerance is said to mean a fault of loop or regulator.
    pub const SOURCE: &'static str =
        "MIL-HDBK-1023/4 (30 November 1998, cancelled), p. 52, short-circuit test";

    /// Every step that was read both ways.
    pub(super) fn all(visit: &Visit, steps: &[Step]) -> Vec<Self> {
        let last = |step: u32, output: Output| {
            visit
                .reading(step, Moment::AsLeft, output)
                .or_else(|| visit.reading(step, Moment::AsFound, output))
        };
        let differences = steps.iter().filter_map(|step| {
            let shorted = last(step.number, Output::Shorted)?;
            let field = last(step.number, Output::Field)?;
            let true_a = |reading: &crate::procedure::entry::ReadingTaken| {
                reading.judgement.as_ref().and_then(|known| known.true_rms_a)
            };
            let true_rms_a =
                true_a(field).zip(true_a(shorted)).map(|(field, shorted)| field - shorted);
            let half_band_a = 0.5 * (step.band.high_a() - step.band.low_a());
            Some(Self {
                step: step.number,
                shorted_shown_a: shorted.shown_a,
                field_shown_a: field.shown_a,
                shown_a: field.shown_a - shorted.shown_a,
                true_rms_a,
                half_band_a,
                is_within: true_rms_a.map(|difference_a| difference_a.abs() <= half_band_a),
            })
        });
        differences.collect()
    }
}
