use crate::assess::instrument::{Connection, PossibleCurrent, StepCurrents};
use crate::error::{Error, Note, Noted, Result};
use crate::regulator::{Regulated, SolveOptions, Step};

use super::{CurrentOrigin, Description, RegulatorSetup};

/// Loads around the one of service that a field can have, as shares of it: lamps that fail or are
/// replaced, leakage. Our own choice, no source.
const FIELD_SHARES: [f64; 3] = [0.9, 1.0, 1.1];

impl Description {
    /// Every current that may flow at each step, with the output shorted and with the field
    /// connected.
    ///
    /// Shorted it is the one of [`Self::cases`], whatever it comes from; with the field connected the
    /// regulator is solved on its second load, a tenth less and a tenth more. A description without
    /// regulator or second load has no currents of the second kind.
    ///
    /// # Errors
    /// As [`Self::cases`]; when the regulator cannot be solved, with the step named.
    pub fn possible_currents(&self) -> Result<Noted<Vec<StepCurrents>>> {
        let cases = self.cases()?;
        let mut notes = cases.notes;
        let mut all = Vec::with_capacity(2 * cases.value.len());
        for case in cases.value {
            let origin = PossibleCurrent { origin: case.origin, waveform: case.waveform };
            all.push(StepCurrents::new(case.step, Connection::Shorted, None, vec![origin])?);
        }
        let Some(setup) = &self.regulator else { return Ok(Noted { value: all, notes }) };
        let Some(service_ratio) = setup.recheck_load_ratio else {
            return Ok(Noted { value: all, notes });
        };
        for (step, origin) in self.steps.steps().iter().zip(&self.currents) {
            // A drawn or recorded current belongs to no load of the regulator.
            if !matches!(origin, CurrentOrigin::Regulator) {
                continue;
            }
            let noted = loaded(setup, step, service_ratio)
                .map_err(|error| error.with_context(format!("step {}", step.number)))?;
            all.extend(noted.value);
            for note in noted.notes {
                if !notes.contains(&note) {
                    notes.push(note);
                }
            }
        }
        Ok(Noted { value: all, notes })
    }
}

/// The currents of a step with the field connected; `None` when none of the loads can be held.
fn loaded(
    setup: &RegulatorSetup,
    step: &Step,
    service_ratio: f64,
) -> Result<Noted<Option<StepCurrents>>> {
    let mut currents = Vec::with_capacity(FIELD_SHARES.len());
    let mut highest_v: Option<f64> = None;
    let mut neighbour = None;
    let mut notes = Vec::new();
    for share in FIELD_SHARES {
        let ratio = RegulatorSetup::LOAD_RATIO.max.min(share * service_ratio);
        let load = setup.load(ratio)?;
        let options = SolveOptions::default();
        match setup.regulator.hold(&load, step.nominal.a(), neighbour.as_ref(), &options)? {
            Regulated::Held(point) => {
                let voltage_v = point.output_power()?.voltage_rms_v;
                highest_v = Some(highest_v.map_or(voltage_v, |v: f64| v.max(voltage_v)));
                currents.push(PossibleCurrent {
                    origin: setup.words(ratio),
                    waveform: point.output.clone().from_rising_zero(),
                });
                neighbour = Some(*point);
            }
            Regulated::OutOfReach(reach) => notes.push(Note::new(
                "out-of-reach",
                format!(
                    "step {} is out of reach of this regulator at {}: the nearest current it can \
                     hold is {:.3} A",
                    step.number,
                    setup.words(ratio),
                    reach.limit_a
                ),
            )),
        }
    }
    if currents.is_empty() {
        return Ok(Noted { value: None, notes });
    }
    let steps = StepCurrents::new(step.clone(), Connection::Loaded, highest_v, currents)
        .map_err(|error: Error| error.with_context("field connected"))?;
    Ok(Noted { value: Some(steps), notes })
}
