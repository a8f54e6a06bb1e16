use std::f64::consts::{FRAC_PI_2, PI};

use crate::circuit::{
    BranchId, Circuit, Element, Magnet, PeriodicSolution, Section, SenseLaw, ShootingOptions,
    Symmetry, Target, find_periodic,
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
    /// quicker, and it stays on the same branch of solutions. Without one, the symmetric state is
    /// looked for; on a supply with even harmonics it is followed as those rise from nothing.
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
        let problem = Problem::new(self, load, target_a, options)?;
        if let Some(start) = start
            && let Some(solution) = problem.near(start)
        {
            return problem.held(solution);
        }
        let cold = problem.cold();
        if let Ok(solution) = cold {
            return problem.held(solution);
        }
        // The limits may be as hard to find as the solution: then the last way is still open.
        if let Ok(Some(reach)) = problem.limit() {
            return Ok(Regulated::OutOfReach(Box::new(reach)));
        }
        match (problem.by_bracket(), cold) {
            (Ok(solution), _) => problem.held(solution),
            // The first failure tells more than that of the last resort.
            (Err(_), Err(error)) => Err(error),
            (Err(error), Ok(_)) => Err(error),
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
        let problem = Problem::new(self, load, self.values.rated_current_rms_a, options)?;
        let solution = problem.at_delay(delay_rad)?;
        problem.point(solution)
    }
}

/// Knee of a core with one.
fn knee_wb(circuit: &Circuit, branch: BranchId) -> Option<f64> {
    match &circuit.network().get(branch).element {
        Element::SaturatingInductor { magnet: Magnet::OddPower { knee_wb, .. }, .. } => {
            Some(*knee_wb)
        }
        _ => None,
    }
}

/// One question to the regulator, with everything needed to answer it.
struct Problem<'a> {
    regulator: &'a ResonantRegulator,
    load: &'a dyn Load,
    branches: RegulatedNetwork,
    circuit: Circuit,
    target: Target,
    shooting: ShootingOptions,
    options: &'a SolveOptions,
}

impl<'a> Problem<'a> {
    fn new(
        regulator: &'a ResonantRegulator,
        load: &'a dyn Load,
        target_a: f64,
        options: &'a SolveOptions,
    ) -> Result<Self> {
        let branches = regulator.network(load, FRAC_PI_2)?;
        let circuit = Circuit::new(&branches.network)?;
        let target = Target { branch: branches.output, law: options.sense, sensed_a: target_a };
        let symmetry = if regulator.supply.is_half_wave_symmetric() {
            options.shooting.symmetry
        } else {
            Symmetry::FullPeriod
        };
        let shooting = ShootingOptions { symmetry, ..options.shooting };
        Ok(Self { regulator, load, branches, circuit, target, shooting, options })
    }

    /// Newton from a start; only what the control's range allows counts as found.
    fn solve(
        &self,
        section: &Section,
        delay_rad: f64,
        shooting: &ShootingOptions,
    ) -> Result<PeriodicSolution> {
        let target = Some(self.target);
        let solution = find_periodic(&self.circuit, section, Some(delay_rad), target, shooting)?;
        ResonantRegulator::DELAY_RAD.check(solution.delay_rad.unwrap_or(f64::NAN))?;
        Ok(solution)
    }

    fn near(&self, start: &OperatingPoint) -> Option<PeriodicSolution> {
        if start.circuit.state_count() != self.circuit.state_count() {
            return None;
        }
        let quick = ShootingOptions { attempts: 0, settle_maps: 0, ..self.shooting };
        self.solve(&self.carried_over(start), start.delay_rad(), &quick).ok()
    }

    /// The start's section with the flux of the load's cores in proportion to their knees.
    ///
    /// A class of fixtures has the flux of one times their number, and its knee as well. With the flux
    /// of many more open fixtures a few would be far beyond their knee, where a period takes very many
    /// steps. The regulator's own iron follows the voltage, not its knee.
    fn carried_over(&self, start: &OperatingPoint) -> Section {
        let mut section = start.solution.section.clone();
        let own_iron = self.branches.network.find(ResonantRegulator::IRON);
        for (state, flux_wb) in section.state.iter_mut().enumerate() {
            let branch = self.circuit.state_branch(state);
            if Some(branch) == own_iron {
                continue;
            }
            let before = knee_wb(&start.circuit, start.circuit.state_branch(state));
            if let (Some(here_wb), Some(before_wb)) = (knee_wb(&self.circuit, branch), before) {
                *flux_wb *= here_wb / before_wb;
            }
        }
        section
    }

    fn cold(&self) -> Result<PeriodicSolution> {
        if self.regulator.supply.is_half_wave_symmetric() {
            let target_a = self.target.sensed_a;
            let (section, delay_rad) =
                self.regulator.guess(&self.circuit, &self.branches, self.load, target_a);
            return self.solve(&section, delay_rad, &self.shooting);
        }
        self.along_the_supply()
    }

    /// From the supply without its even harmonics, where the symmetric state is easily found, to
    /// the supply as it is, in steps that halve when one is too long.
    fn along_the_supply(&self) -> Result<PeriodicSolution> {
        const SMALLEST: f64 = 1.0 / 256.0;
        let with = |part: f64| {
            let mut regulator = self.regulator.clone();
            for (order, ratio, _) in &mut regulator.supply.harmonics {
                if *order % 2 == 0 {
                    *ratio *= part;
                }
            }
            regulator
        };
        let symmetric = with(0.0);
        let begin = Problem::new(&symmetric, self.load, self.target.sensed_a, self.options)?;
        let mut last = begin.cold()?;
        let quick = ShootingOptions { attempts: 0, ..self.shooting };
        let (mut part, mut step) = (0.0_f64, 0.5_f64);
        while part < 1.0 {
            let next = f64::min(1.0, part + step);
            let regulator = with(next);
            let problem = Problem::new(&regulator, self.load, self.target.sensed_a, self.options)?;
            let delay_rad = last.delay_rad.unwrap_or(FRAC_PI_2);
            match problem.solve(&last.section, delay_rad, &quick) {
                Ok(solution) => (last, part) = (solution, next),
                Err(_) if step > SMALLEST => step *= 0.5,
                Err(error) => {
                    let share = 100.0 * part;
                    return Err(error.with_context(format!(
                        "followed to {share:.1} % of the supply's even harmonics"
                    )));
                }
            }
        }
        Ok(last)
    }

    fn at_delay(&self, delay_rad: f64) -> Result<PeriodicSolution> {
        // The reactor's share tells the current the guess has to be made for.
        let target_a = self.regulator.values.rated_current_rms_a
            * (1.0 + 0.9 * (delay_rad - 160_f64.to_radians())).clamp(0.2, 1.05);
        let (mut section, _) =
            self.regulator.guess(&self.circuit, &self.branches, self.load, target_a);
        for firing in &mut section.pending {
            firing.in_s = (delay_rad - FRAC_PI_2) / self.circuit.network().omega_rad_per_s();
        }
        let shooting = ShootingOptions { settle_maps: 6, ..self.shooting };
        find_periodic(&self.circuit, &section, Some(delay_rad), None, &shooting)
    }

    /// The end of the delay's range that the target lies beyond, if it does.
    fn limit(&self) -> Result<Option<Reach>> {
        let range = ResonantRegulator::DELAY_RAD;
        let ends = [(range.max, ReachSide::AboveHighest), (range.min, ReachSide::BelowLowest)];
        for (delay_rad, side) in ends {
            let nearest = self.point(self.at_delay(delay_rad)?)?;
            let (limit_a, target_a) = (nearest.sensed_a(), self.target.sensed_a);
            let beyond = match side {
                ReachSide::AboveHighest => target_a > limit_a,
                ReachSide::BelowLowest => target_a < limit_a,
            };
            if beyond {
                return Ok(Some(Reach { target_a, limit_a, side, nearest }));
            }
        }
        Ok(None)
    }

    /// The slow and safe way: the delay by bracketing, each periodic state from the one before.
    fn by_bracket(&self) -> Result<PeriodicSolution> {
        let range = ResonantRegulator::DELAY_RAD;
        let mut last = self.at_delay(range.max)?;
        let sensed = |delay_rad: f64| {
            last =
                find_periodic(&self.circuit, &last.section, Some(delay_rad), None, &self.shooting)?;
            Ok(self.point(last.clone())?.sensed_a() - self.target.sensed_a)
        };
        let delay_rad = root_between(sensed, range.max, range.min, 1e-4)?;
        self.solve(&last.section, delay_rad, &self.shooting)
    }

    fn point(&self, solution: PeriodicSolution) -> Result<OperatingPoint> {
        OperatingPoint::new(
            self.circuit.clone(),
            self.branches.output,
            solution,
            self.options.sense,
            self.options.samples_per_period,
        )
        .map(|point| point.with_values_origin(self.regulator.values.origin))
    }

    fn held(&self, solution: PeriodicSolution) -> Result<Regulated> {
        Ok(Regulated::Held(Box::new(self.point(solution)?)))
    }
}
