use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use num_complex::Complex64;

use crate::circuit::{
    Circuit, PendingFiring, PeriodicSolution, Section, SenseLaw, ShootingOptions, Symmetry, Target,
    find_periodic,
};
use crate::error::{Bounds, Result};
use crate::numeric::root_between;

use super::operating_point::ReachSide;
use super::resonant::RegulatedNetwork;
use super::{Load, OperatingPoint, Reach, ResonantRegulator};

/// How an operating point is solved for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SolveOptions {
    /// How the control senses the output current.
    pub sense: SenseLaw,
    /// The shooting.
    pub shooting: ShootingOptions,
    /// Samples in a period of the output waveform.
    pub samples_per_period: usize,
}

impl Default for SolveOptions {
    fn default() -> Self {
        Self {
            sense: SenseLaw::TrueRms,
            shooting: ShootingOptions::default(),
            samples_per_period: 7200,
        }
    }
}

/// The answer to "hold this current".
#[derive(Clone, Debug)]
pub enum Regulated {
    /// The current is held.
    Held(Box<OperatingPoint>),
    /// No firing delay gives it.
    OutOfReach(Box<Reach>),
}

impl Regulated {
    /// The operating point, when the current is held.
    #[must_use]
    pub fn held(self) -> Option<OperatingPoint> {
        match self {
            Self::Held(point) => Some(*point),
            Self::OutOfReach(_) => None,
        }
    }
}

impl ResonantRegulator {
    /// Target output current.
    pub const TARGET_A: Bounds = Bounds::new("target current", "A", 1e-3, 1e3);
    /// Firing delays the control can give: below, the reactor would conduct without a pause; above,
    /// it carries nothing worth counting (0.1 % of the current and less).
    pub const DELAY_RAD: Bounds =
        Bounds::new("firing delay", "rad", 92.0 * PI / 180.0, 176.0 * PI / 180.0);

    /// Finds the periodic state and the firing delay at which the control senses the target.
    ///
    /// Give the operating point of a neighbouring step or load as `start` when there is one: it is
    /// quicker, and it stays on the same branch of solutions.
    ///
    /// # Errors
    /// `OutOfRange` for an absurd target; `NotConverged` when neither a solution nor the limit that
    /// would explain its absence is found.
    pub fn hold(
        &self,
        load: &dyn Load,
        target_a: f64,
        start: Option<&OperatingPoint>,
        options: &SolveOptions,
    ) -> Result<Regulated> {
        Self::TARGET_A.check(target_a)?;
        let branches = self.network(load, FRAC_PI_2)?;
        let circuit = Circuit::new(&branches.network)?;
        let target = Target { branch: branches.output, law: options.sense, sensed_a: target_a };
        let shooting = self.shooting(options);
        if let Some(start) = start
            && start.circuit.state_count() == circuit.state_count()
        {
            let quick = ShootingOptions { attempts: 0, settle_maps: 0, ..shooting };
            let section = &start.solution.section;
            let delay = Some(start.delay_rad());
            if let Ok(solution) = find_periodic(&circuit, section, delay, Some(target), &quick)
                && Self::DELAY_RAD.contains(solution.delay_rad.unwrap_or(0.0))
            {
                let point = Self::point(circuit, &branches, solution, options)?;
                return Ok(Regulated::Held(Box::new(point)));
            }
        }
        let guess = self.guess(&circuit, &branches, load, target_a);
        let found = find_periodic(&circuit, &guess.0, Some(guess.1), Some(target), &shooting);
        match found {
            Ok(solution) if Self::DELAY_RAD.contains(solution.delay_rad.unwrap_or(0.0)) => {
                let point = Self::point(circuit, &branches, solution, options)?;
                Ok(Regulated::Held(Box::new(point)))
            }
            other => match self.limit(&circuit, &branches, load, target, options)? {
                Some(reach) => Ok(Regulated::OutOfReach(Box::new(reach))),
                None => self
                    .by_bracket(&circuit, &branches, load, target, options)
                    .map_err(|error| other.err().unwrap_or(error)),
            },
        }
    }

    /// The periodic state at a given firing delay, without control.
    ///
    /// # Errors
    /// `OutOfRange` for a delay outside [`Self::DELAY_RAD`]; `NotConverged` when no solution is
    /// found near the usual one.
    pub fn at_delay(
        &self,
        load: &dyn Load,
        delay_rad: f64,
        options: &SolveOptions,
    ) -> Result<OperatingPoint> {
        Self::DELAY_RAD.check(delay_rad)?;
        let branches = self.network(load, delay_rad)?;
        let circuit = Circuit::new(&branches.network)?;
        let solution = self.solve_at_delay(&circuit, &branches, load, delay_rad, options)?;
        Self::point(circuit, &branches, solution, options)
    }

    fn shooting(&self, options: &SolveOptions) -> ShootingOptions {
        let symmetry = if self.supply.is_half_wave_symmetric() {
            options.shooting.symmetry
        } else {
            Symmetry::FullPeriod
        };
        ShootingOptions { symmetry, ..options.shooting }
    }

    fn solve_at_delay(
        &self,
        circuit: &Circuit,
        branches: &RegulatedNetwork,
        load: &dyn Load,
        delay_rad: f64,
        options: &SolveOptions,
    ) -> Result<PeriodicSolution> {
        // The reactor's share tells the current the guess has to be made for.
        let target_a = self.values.rated_current_rms_a
            * (1.0 + 0.9 * (delay_rad - 160_f64.to_radians())).clamp(0.2, 1.05);
        let (mut section, _) = self.guess(circuit, branches, load, target_a);
        for firing in &mut section.pending {
            firing.in_s = (delay_rad - FRAC_PI_2) / circuit.network().omega_rad_per_s();
        }
        let shooting = ShootingOptions { settle_maps: 6, ..self.shooting(options) };
        find_periodic(circuit, &section, Some(delay_rad), None, &shooting)
    }

    /// A state and a delay to start from, by phasors at the fundamental.
    ///
    /// With the output current given, the reactor's susceptance B is what makes the voltage in
    /// front of the input reactor as large as the source; the delay follows from B by the
    /// fundamental of a phase-fired reactor, I₁ = (2(π−α) + sin 2α)/π.
    ///
    /// The section is taken at the peak of the capacitor voltage: there the triac is off and
    /// exactly one firing waits, at any delay beyond a quarter period.
    fn guess(
        &self,
        circuit: &Circuit,
        branches: &RegulatedNetwork,
        load: &dyn Load,
        target_a: f64,
    ) -> (Section, f64) {
        let v = &self.values;
        let omega = circuit.network().omega_rad_per_s();
        let j = Complex64::I;
        let output_a = Complex64::new(SQRT_2 * target_a, 0.0);
        let capacitor_v = output_a * (load.resistance_ohm() + j * omega * v.output_inductance_h);
        let input_ohm = v.input_resistance_ohm + j * omega * v.input_inductance_h;
        let source_v = SQRT_2 * v.source_rms_v * self.supply.voltage_ratio;
        let input_a = |b: f64| output_a + capacitor_v * j * (omega * v.capacitance_f - b);
        let needed_v = |b: f64| capacitor_v + input_ohm * input_a(b);
        let most = 1.0 / (omega * v.control_inductance_h);
        let miss = |b: f64| Ok(needed_v(b).norm() - source_v);
        let b = root_between(miss, 0.0, 2.0 * most, 1e-6 * most).unwrap_or(0.3 * most);
        let knee_ratio = capacitor_v.norm() / (omega * v.iron_knee_wb);
        // Half of the power term: the fundamental of sin⁹ is 126/256 of its peak.
        let iron_a = v.iron_linear_a * knee_ratio
            + 0.49 * v.iron_power_a * knee_ratio.powi(v.iron_exponent as i32);
        let share = ((b - iron_a / capacitor_v.norm()) / most).clamp(1e-4, 0.98);
        let fundamental = |alpha: f64| Ok((2.0 * (PI - alpha) + (2.0 * alpha).sin()) / PI - share);
        let delay = root_between(fundamental, FRAC_PI_2, PI, 1e-6).unwrap_or(0.75 * PI);
        // Turn everything so that the capacitor voltage is at its peak, and read the time at the
        // source, which is a sine.
        let turn = Complex64::from_polar(1.0, -capacitor_v.arg());
        let source = needed_v(b) * turn;
        let time_s = (source.arg() + FRAC_PI_2).rem_euclid(2.0 * PI) / omega;
        let mut state = vec![0.0; circuit.state_count()];
        let names = [
            ("input reactor", (input_a(b) * turn).re),
            ("capacitor", capacitor_v.norm()),
            ("output reactor", (output_a * turn).re),
            ("load inductance", (output_a * turn).re),
        ];
        for (name, value) in names {
            let at = circuit.network().find(name).and_then(|branch| circuit.state_of(branch));
            if let Some(at) = at {
                state[at] = value;
            }
        }
        let switch = circuit.switch_of(branches.triac).unwrap_or(0);
        let pending = vec![PendingFiring { switch, in_s: (delay - FRAC_PI_2) / omega }];
        (Section { time_s, state, switches_on: 0, pending }, delay)
    }

    /// The end of the delay's range that the target lies beyond, if it does.
    fn limit(
        &self,
        circuit: &Circuit,
        branches: &RegulatedNetwork,
        load: &dyn Load,
        target: Target,
        options: &SolveOptions,
    ) -> Result<Option<Reach>> {
        let ends = [
            (Self::DELAY_RAD.max, ReachSide::AboveHighest),
            (Self::DELAY_RAD.min, ReachSide::BelowLowest),
        ];
        for (delay_rad, side) in ends {
            let solution = self.solve_at_delay(circuit, branches, load, delay_rad, options)?;
            let nearest = Self::point(circuit.clone(), branches, solution, options)?;
            let limit_a = nearest.sensed_a();
            let beyond = match side {
                ReachSide::AboveHighest => target.sensed_a > limit_a,
                ReachSide::BelowLowest => target.sensed_a < limit_a,
            };
            if beyond {
                return Ok(Some(Reach { target_a: target.sensed_a, limit_a, side, nearest }));
            }
        }
        Ok(None)
    }

    /// The slow and safe way: the delay by bracketing, each periodic state from the one before.
    fn by_bracket(
        &self,
        circuit: &Circuit,
        branches: &RegulatedNetwork,
        load: &dyn Load,
        target: Target,
        options: &SolveOptions,
    ) -> Result<Regulated> {
        let shooting = self.shooting(options);
        let mut last =
            self.solve_at_delay(circuit, branches, load, Self::DELAY_RAD.max, options)?;
        let sensed = |delay_rad: f64| {
            let next = find_periodic(circuit, &last.section, Some(delay_rad), None, &shooting)?;
            last = next;
            let point = Self::point(circuit.clone(), branches, last.clone(), options)?;
            Ok(point.sensed_a() - target.sensed_a)
        };
        let delay = root_between(sensed, Self::DELAY_RAD.max, Self::DELAY_RAD.min, 1e-4)?;
        let solution = find_periodic(circuit, &last.section, Some(delay), Some(target), &shooting)?;
        let point = Self::point(circuit.clone(), branches, solution, options)?;
        Ok(Regulated::Held(Box::new(point)))
    }

    fn point(
        circuit: Circuit,
        branches: &RegulatedNetwork,
        solution: PeriodicSolution,
        options: &SolveOptions,
    ) -> Result<OperatingPoint> {
        let samples = options.samples_per_period;
        OperatingPoint::new(circuit, branches.output, solution, options.sense, samples)
    }
}
