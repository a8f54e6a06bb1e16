use crate::error::{Error, Result};
use crate::meter::Signal;
use crate::regulator::Step;
use crate::waveform::Coupling;

use super::{Connection, PossibleCurrent};

/// A brightness step with every current that may flow at it in one connection.
///
/// The spread of these currents is what the correction of a reading is uncertain by: give the loads
/// and lamps out that can occur, not only the one at hand.
#[derive(Clone, Debug)]
pub struct StepCurrents {
    step: Step,
    connection: Connection,
    loop_rms_v: Option<f64>,
    currents: Vec<PossibleCurrent>,
}

impl StepCurrents {
    /// The currents of a step, each scaled to its nominal true RMS, mean included.
    ///
    /// `loop_rms_v` is the largest voltage of the loop to earth, where it is known.
    ///
    /// # Errors
    /// `Inconsistent` for no current, or one that cannot be scaled because nothing flows.
    pub fn new(
        step: Step,
        connection: Connection,
        loop_rms_v: Option<f64>,
        currents: Vec<PossibleCurrent>,
    ) -> Result<Self> {
        if currents.is_empty() {
            return Err(Error::inconsistent(format!("step {}: no current is given", step.number)));
        }
        let currents = currents
            .into_iter()
            .map(|PossibleCurrent { origin, waveform }| {
                let waveform =
                    waveform.scaled_to_rms(step.nominal.a(), Coupling::Dc).map_err(|error| {
                        error.with_context(format!("step {}, {origin}", step.number))
                    })?;
                Ok(PossibleCurrent { origin, waveform })
            })
            .collect::<Result<_>>()?;
        Ok(Self { step, connection, loop_rms_v, currents })
    }

    /// The step.
    #[must_use]
    pub fn step(&self) -> &Step {
        &self.step
    }

    /// What the output is connected to.
    #[must_use]
    pub fn connection(&self) -> Connection {
        self.connection
    }

    /// Largest RMS voltage of the loop to earth, where it is known.
    #[must_use]
    pub fn loop_rms_v(&self) -> Option<f64> {
        self.loop_rms_v
    }

    /// The currents, scaled to the nominal.
    #[must_use]
    pub fn currents(&self) -> &[PossibleCurrent] {
        &self.currents
    }

    /// The currents made ready for many meters.
    #[must_use]
    pub fn signals(&self) -> Vec<Signal<'_>> {
        self.currents.iter().map(|current| Signal::of(&current.waveform)).collect()
    }
}
