use crate::circuit::{
    BranchId, BranchTrace, Circuit, PeriodicSolution, Section, SenseLaw, Stability, find_others,
};
use crate::error::{Note, Result};
use crate::waveform::Waveform;

use super::ValuesOrigin;

/// A regulator holding a current: the periodic state, the firing delay and the output current.
///
/// Limits to show wherever it is shown: [`Self::notes`].
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// The network, ready to be run on.
    pub circuit: Circuit,
    /// The branch whose current is the output current.
    pub output_branch: BranchId,
    /// The periodic state with its multipliers.
    pub solution: PeriodicSolution,
    /// How the control senses the current.
    pub sense: SenseLaw,
    /// Output current over one period of the solution.
    pub output: Waveform,
    /// Where the values of the regulator come from.
    pub values_origin: ValuesOrigin,
}

/// Why a target cannot be held, with the nearest current that can.
#[derive(Clone, Debug)]
pub struct Reach {
    /// What was asked.
    pub target_a: f64,
    /// The highest or lowest current the firing delay can give, as the control senses it.
    pub limit_a: f64,
    /// Whether the target lies above the highest (true RMS or rectified mean, as sensed).
    pub side: ReachSide,
    /// The operating point at that limit.
    pub nearest: OperatingPoint,
}

/// Which end of the range was passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReachSide {
    /// The target is above the highest current.
    AboveHighest,
    /// The target is below the lowest current.
    BelowLowest,
}

impl OperatingPoint {
    /// Samples the output current of a periodic solution.
    pub(super) fn new(
        circuit: Circuit,
        output_branch: BranchId,
        solution: PeriodicSolution,
        sense: SenseLaw,
        samples_per_period: usize,
    ) -> Result<Self> {
        let periods = (solution.period_s * circuit.network().frequency_hz()).round().max(1.0);
        let samples = samples_per_period * periods as usize;
        let output = solution.waveform(&circuit, output_branch, samples)?;
        let values_origin = ValuesOrigin::Generic;
        Ok(Self { circuit, output_branch, solution, sense, output, values_origin })
    }

    /// The same point of a regulator whose values come from elsewhere.
    pub(super) fn with_values_origin(mut self, values_origin: ValuesOrigin) -> Self {
        self.values_origin = values_origin;
        self
    }

    /// Firing delay after the zero crossing of the watched voltage.
    #[must_use]
    pub fn delay_rad(&self) -> f64 {
        self.solution.delay_rad.unwrap_or(0.0)
    }

    /// True RMS of the output current.
    #[must_use]
    pub fn output_rms_a(&self) -> f64 {
        self.output.measures().dc.rms_a
    }

    /// What the control's sensing shows: equal to the target when it is held.
    #[must_use]
    pub fn sensed_a(&self) -> f64 {
        let measures = self.output.measures();
        match self.sense {
            SenseLaw::TrueRms => measures.dc.rms_a,
            SenseLaw::RectifiedMean => SenseLaw::SINE_FORM_FACTOR * measures.dc.arv_a,
        }
    }

    /// Error of an average-responding meter scaled to the RMS of a sine, as a ratio.
    #[must_use]
    pub fn average_responding_error_ratio(&self) -> f64 {
        let measures = self.output.measures();
        SenseLaw::SINE_FORM_FACTOR * measures.dc.arv_a / measures.dc.rms_a - 1.0
    }

    /// Voltage and current of every branch over one period of the solution.
    ///
    /// # Errors
    /// As [`PeriodicSolution::trajectory`].
    pub fn traces(&self, samples: usize) -> Result<Vec<BranchTrace>> {
        self.solution.branches(&self.circuit, samples)
    }

    /// Voltage between the output terminals over one period of the solution: what the field sees.
    ///
    /// # Errors
    /// As [`PeriodicSolution::trajectory`].
    pub fn output_voltage_v(&self, samples: usize) -> Result<Vec<f64>> {
        let traces = self.traces(samples)?;
        let network = self.circuit.network();
        // In every source of this layer the output branch ends at the output terminal.
        let terminal = network.get(self.output_branch).to;
        let mut voltage_v = vec![0.0; samples];
        for (branch, sign) in network.path_to_ground(terminal) {
            let position = network.branch_ids().position(|id| id == branch);
            let trace = &traces[position.expect("a path consists of branches of the network")];
            voltage_v.iter_mut().zip(&trace.voltage_v).for_each(|(sum, v)| *sum += sign * v);
        }
        Ok(voltage_v)
    }

    /// Looks for other periodic states at the same firing delay: from rest, and from starts spread
    /// evenly over three times the range of this one's states.
    ///
    /// What is found is what the machine could do instead after a disturbance of that size.
    ///
    /// # Errors
    /// As [`find_others`].
    pub fn others(&self, starts: usize, settle_periods: usize) -> Result<Vec<PeriodicSolution>> {
        const REACH: f64 = 3.0;
        let here = &self.solution.section;
        let mut sections = vec![Section::at_rest(here.time_s, here.state.len())];
        for number in 1..starts {
            let mut start = here.clone();
            for (state, x) in start.state.iter_mut().enumerate() {
                // Multiples of the roots of primes, taken modulo 1, fill the range evenly and are
                // the same on every run. A current that is cut off at the section stays so.
                if x.abs() > 0.0 {
                    let prime = [2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0][state % 8];
                    let spread = 2.0 * (number as f64 * f64::sqrt(prime)).fract() - 1.0;
                    *x = REACH * spread * self.solution.scale[state];
                }
            }
            sections.push(start);
        }
        find_others(&self.circuit, &self.solution, &sections, settle_periods)
    }

    /// What has to be said beside the result.
    #[must_use]
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = vec![self.values_origin.note()];
        match self.solution.stability() {
            Stability::Stable => {}
            other => notes.push(Note::new(
                "stability",
                format!("the periodic solution shown is {} at a held firing delay", other.words()),
            )),
        }
        notes
    }
}
