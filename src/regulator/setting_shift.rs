use rayon::prelude::*;

use crate::circuit::SenseLaw;
use crate::error::Result;

use super::{Load, Regulated, ResonantRegulator, SolveOptions};

/// A step set at one load and left alone, seen at other loads.
///
/// A control that senses true RMS holds the current it was set to. One that senses the rectified
/// mean holds that mean instead, and the true RMS moves with the shape of the current.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingShift {
    /// True RMS the step was set to.
    pub set_rms_a: f64,
    /// What the control sensed then and keeps.
    pub sensed_a: f64,
    /// True RMS at each load, in the order given; `None` where the control cannot keep it.
    pub true_rms_a: Vec<Option<f64>>,
}

impl SettingShift {
    /// Sets every target by true RMS at one load and follows it to the others.
    ///
    /// Targets that cannot be held at the load of the setting are `None`. Targets are solved in
    /// parallel, so the result does not depend on the number of threads.
    ///
    /// # Errors
    /// As [`ResonantRegulator::hold`].
    pub fn follow(
        regulator: &ResonantRegulator,
        set_load: &dyn Load,
        loads: &[&dyn Load],
        targets_a: &[f64],
        sense: SenseLaw,
    ) -> Result<Vec<Option<Self>>> {
        targets_a
            .par_iter()
            .map(|target_a| Self::one(regulator, set_load, loads, *target_a, sense))
            .collect()
    }

    fn one(
        regulator: &ResonantRegulator,
        set_load: &dyn Load,
        loads: &[&dyn Load],
        set_rms_a: f64,
        sense: SenseLaw,
    ) -> Result<Option<Self>> {
        let by_meter = SolveOptions::default();
        let Some(point) = regulator.hold(set_load, set_rms_a, None, &by_meter)?.held() else {
            return Ok(None);
        };
        let measures = point.output.measures();
        let sensed_a = match sense {
            SenseLaw::TrueRms => measures.dc.rms_a,
            SenseLaw::RectifiedMean => SenseLaw::SINE_FORM_FACTOR * measures.dc.arv_a,
        };
        let options = SolveOptions { sense, ..SolveOptions::default() };
        let mut near = point;
        let mut true_rms_a = Vec::with_capacity(loads.len());
        for load in loads {
            match regulator.hold(*load, sensed_a, Some(&near), &options)? {
                Regulated::Held(point) => {
                    true_rms_a.push(Some(point.output_rms_a()));
                    near = *point;
                }
                Regulated::OutOfReach(_) => true_rms_a.push(None),
            }
        }
        Ok(Some(Self { set_rms_a, sensed_a, true_rms_a }))
    }
}
