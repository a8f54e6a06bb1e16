use std::f64::consts::PI;

use crate::circuit::{
    BranchId, Circuit, Crossing, Element, GateReference, GateRule, Network, Section,
    ShootingOptions, Target, find_periodic,
};
use crate::error::{Bounds, Result};
use crate::numeric::root_between;

use super::operating_point::ReachSide;
use super::{Load, OperatingPoint, Reach, Regulated, SolveOptions, Supply};

/// A sine voltage cut by a pair of thyristors: the contrast to the resonant source.
///
/// Ideal: no source impedance, no choke. At full load the whole sine passes; with less load the
/// firing comes later and the current is a row of pulses.
///
/// # Formula
/// On a resistance R of p times the rated one the current is held where
/// √(1 − α/π + sin 2α/(2π)) = p.
#[derive(Clone, Debug, PartialEq)]
pub struct PhaseCutSource {
    /// Rated power: the source voltage is this over the rated current.
    pub rated_power_w: f64,
    /// Rated output current.
    pub rated_current_rms_a: f64,
    /// Rated mains frequency.
    pub rated_frequency_hz: f64,
    /// The mains.
    pub supply: Supply,
}

impl PhaseCutSource {
    /// Firing delays the control can give, from the zero crossing of the supply.
    pub const DELAY_RAD: Bounds = Bounds::new("firing delay", "rad", 2e-3, PI - 2e-3);

    /// The network with a load attached, and the branch that carries the output current.
    ///
    /// # Errors
    /// Whatever the load finds wrong with itself.
    pub fn network(&self, load: &dyn Load, delay_rad: f64) -> Result<(Network, BranchId)> {
        let mut network = Network::new(self.rated_frequency_hz * self.supply.frequency_ratio);
        let ground = network.ground();
        let (source, output) = (network.node("source"), network.node("output"));
        let rated_v = self.rated_power_w / self.rated_current_rms_a;
        let source_v = Element::VoltageSource(self.supply.source(rated_v));
        network.branch("source", source, ground, source_v);
        let gate =
            GateRule { reference: GateReference::Supply, crossing: Crossing::Either, delay_rad };
        let pair = network.branch("thyristor pair", source, output, Element::Triac(gate));
        load.attach(&mut network, output, ground)?;
        Ok((network, pair))
    }

    /// Finds the firing delay at which the control senses the target, and the periodic state.
    ///
    /// # Errors
    /// As [`super::ResonantRegulator::hold`].
    pub fn hold(
        &self,
        load: &dyn Load,
        target_a: f64,
        options: &SolveOptions,
    ) -> Result<Regulated> {
        super::ResonantRegulator::TARGET_A.check(target_a)?;
        let (network, pair) = self.network(load, 0.5 * PI)?;
        let circuit = Circuit::new(&network)?;
        let target = Target { branch: pair, law: options.sense, sensed_a: target_a };
        let full_a = self.rated_power_w / self.rated_current_rms_a * self.supply.voltage_ratio
            / load.resistance_ohm();
        let share = (target_a / full_a).clamp(0.0, 1.0).powi(2);
        let passed = |alpha: f64| Ok(1.0 - alpha / PI + (2.0 * alpha).sin() / (2.0 * PI) - share);
        let delay_rad = root_between(passed, 0.0, PI, 1e-9).unwrap_or(0.5 * PI);
        // Just after the zero crossing: at most delays the pair has turned off and waits.
        let time_s = 0.02 / circuit.network().omega_rad_per_s();
        let start = Section::at_rest(time_s, circuit.state_count());
        let shooting = ShootingOptions { settle_maps: 2, ..options.shooting };
        let solve = |delay_rad: f64, target: Option<Target>| {
            find_periodic(&circuit, &start, Some(delay_rad), target, &shooting)
        };
        let point = |solution| {
            let samples = options.samples_per_period;
            OperatingPoint::new(circuit.clone(), pair, solution, options.sense, samples)
        };
        let delay_rad = delay_rad.clamp(Self::DELAY_RAD.min, Self::DELAY_RAD.max);
        match solve(delay_rad, Some(target)) {
            Ok(solution) => Ok(Regulated::Held(Box::new(point(solution)?))),
            Err(error) => {
                let nearest = point(solve(Self::DELAY_RAD.min, None)?)?;
                let limit_a = nearest.sensed_a();
                if target_a <= limit_a {
                    return Err(error);
                }
                let side = ReachSide::AboveHighest;
                Ok(Regulated::OutOfReach(Box::new(Reach { target_a, limit_a, side, nearest })))
            }
        }
    }
}
