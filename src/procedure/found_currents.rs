use crate::assess::FoundCurrent;
use crate::error::{Error, Result};
use crate::regulator::StepTable;
use crate::waveform::TrueRms;

use super::Visit;
use super::entry::{Moment, Output};

/// The true currents a visit's readings were judged to mean, step by step, for what they do to light
/// and lamps.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundCurrents {
    /// As found or as left.
    pub moment: Moment,
    /// What the output was connected to.
    pub output: Output,
    /// One current a step, the brightest first, each with its expanded uncertainty.
    pub currents: Vec<FoundCurrent>,
    /// Steps that were not read so, or whose reading says nothing of the true current.
    pub unknown_steps: Vec<u32>,
}

impl FoundCurrents {
    /// The readings of a moment; with no output named, those with the field connected where there are
    /// any, for that is what the lamps get, and else those with the output shorted.
    ///
    /// # Errors
    /// `Inconsistent` when no step was read so.
    pub fn of(
        visit: &Visit,
        steps: &StepTable,
        moment: Moment,
        output: Option<Output>,
    ) -> Result<Self> {
        let is_read = |output: Output| {
            visit
                .readings()
                .any(|(_, reading)| (reading.moment, reading.output) == (moment, output))
        };
        let preferred = if is_read(Output::Field) { Output::Field } else { Output::Shorted };
        let output = output.unwrap_or(preferred);
        let (mut currents, mut unknown_steps) = (Vec::new(), Vec::new());
        for step in steps.steps() {
            let reading = visit.reading(step.number, moment, output);
            let judged = reading.and_then(|reading| reading.judgement.as_ref());
            let known =
                judged.and_then(|judged| judged.true_rms_a.zip(judged.expanded_uncertainty_a));
            match known {
                None => unknown_steps.push(step.number),
                Some((true_a, expanded_a)) => currents.push(FoundCurrent {
                    step: step.clone(),
                    true_rms: TrueRms::stated_a(true_a),
                    expanded_a,
                }),
            }
        }
        if currents.is_empty() {
            return Err(Error::inconsistent(format!(
                "visit {}: no true current is known {}, {}",
                visit.number(),
                moment.words(),
                output.words()
            ))
            .with_hint(
                "--moment and --output choose other readings; `loopcrest logbook show` lists them",
            ));
        }
        Ok(Self { moment, output, currents, unknown_steps })
    }
}
