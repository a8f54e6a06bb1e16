use crate::error::Result;
use crate::lamp::LampLaw;
use crate::meter::Meter;
use crate::regulator::Step;
use crate::spectrum::Spectrum;
use crate::waveform::{Measures, TrueRms};

use super::{Judgement, StepCase};

/// Everything computed at one step.
#[derive(Clone, Debug)]
pub struct StepResult {
    /// The step.
    pub step: Step,
    /// Where its current comes from, in words.
    pub origin: String,
    /// Time-domain measures of the current at the nominal.
    pub measures: Measures,
    /// Its harmonics.
    pub spectrum: Spectrum,
    /// Each meter, in the order given.
    pub judgements: Vec<Judgement>,
}

impl StepResult {
    /// Judges every meter at one step.
    ///
    /// # Errors
    /// As [`Judgement::new`], with the meter and the step named.
    pub fn new(case: &StepCase, meters: &[Meter], lamp: &LampLaw, rated: TrueRms) -> Result<Self> {
        let measures = case.waveform.measures();
        let judgements = meters
            .iter()
            .map(|meter| {
                Judgement::new(meter, &case.step, &measures, lamp, rated)
                    .map_err(|error| error.with_context(format!("meter \"{}\"", meter.name)))
            })
            .collect::<Result<_>>()
            .map_err(|error| error.with_context(format!("step {}", case.step.number)))?;
        Ok(Self {
            step: case.step.clone(),
            origin: case.origin.clone(),
            measures,
            spectrum: Spectrum::of(&case.waveform),
            judgements,
        })
    }
}
