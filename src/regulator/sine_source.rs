use std::f64::consts::SQRT_2;

use crate::circuit::{
    Circuit, Element, Network, Section, SenseLaw, ShootingOptions, Source, find_periodic,
};
use crate::error::Result;

use super::{Load, OperatingPoint, SolveOptions};

/// An ideal sine current: what every averaging meter takes for granted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SineSource {
    /// Mains frequency.
    pub frequency_hz: f64,
}

impl SineSource {
    /// The periodic state of a load that carries a sine of that RMS current.
    ///
    /// # Errors
    /// `Inconsistent` for a load that begins with an inductor: a current source cannot feed one;
    /// `NotConverged` when the load has no periodic state.
    pub fn drive(
        &self,
        load: &dyn Load,
        current_rms_a: f64,
        options: &SolveOptions,
    ) -> Result<OperatingPoint> {
        super::ResonantRegulator::TARGET_A.check(current_rms_a)?;
        let mut network = Network::new(self.frequency_hz);
        let (ground, output) = (network.ground(), network.node("output"));
        let sine = Source::sine(SQRT_2 * current_rms_a, 0.0);
        let source = network.branch("source", ground, output, Element::CurrentSource(sine));
        load.attach(&mut network, output, ground)?;
        let circuit = Circuit::new(&network)?;
        let start = Section::at_rest(0.0, circuit.state_count());
        let shooting = ShootingOptions { settle_maps: 4, ..options.shooting };
        let solution = find_periodic(&circuit, &start, None, None, &shooting)?;
        let samples = options.samples_per_period;
        OperatingPoint::new(circuit, source, solution, SenseLaw::TrueRms, samples)
    }
}
