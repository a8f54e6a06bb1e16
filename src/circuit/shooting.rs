use crate::error::{Bounds, Error, Result};

use super::check::place;
use super::newton::Shooting;
use super::{Circuit, Element, PeriodicSolution, Section, StepPlan, Target};

/// Which map has to close.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symmetry {
    /// x(t + T/2) = −x(t): half the work, and no even harmonics by construction.
    HalfWave,
    /// x(t + m T) = x(t), nothing else asked.
    FullPeriod,
}

/// How a periodic solution is looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShootingOptions {
    /// Which map has to close.
    pub symmetry: Symmetry,
    /// Mains periods in the solution's period: 1, or more for subharmonics.
    pub periods: usize,
    /// Defect, relative to each state's peak, at which the solution is accepted.
    pub tolerance_ratio: f64,
    /// Newton iterations in one attempt.
    pub iterations: usize,
    /// Maps run from the start before Newton begins; those of half a period are averaged with
    /// their mirror image, which kills the slow drift of flux at once.
    pub settle_maps: usize,
    /// Further attempts, each after more settling.
    pub attempts: usize,
    /// Steps.
    pub plan: StepPlan,
}

impl Default for ShootingOptions {
    fn default() -> Self {
        Self {
            symmetry: Symmetry::HalfWave,
            periods: 1,
            tolerance_ratio: 1e-10,
            iterations: 20,
            settle_maps: 0,
            attempts: 3,
            plan: StepPlan::default(),
        }
    }
}

impl ShootingOptions {
    /// Mains periods in a solution's period.
    pub const PERIODS: Bounds =
        Bounds::new("mains periods in the solution's period", "", 1.0, 64.0);
    /// Defect at which a solution is accepted.
    pub const TOLERANCE: Bounds = Bounds::new("tolerance of the period defect", "", 1e-13, 1e-2);
}

/// Finds a periodic solution near a start, and the firing delay with it when a target is given.
///
/// With a target the delay of every gate is the same unknown, started at `delay_rad`; without one
/// it is held at `delay_rad`, or at each gate's own when that is `None`.
///
/// # Formula
/// Newton on r(z) = x(t₀ + τ) ∓ x(t₀), with z = (state, times of pending firings, delay) and the
/// last equation, when there is a target, sensed − target; τ is half a period (upper sign +) or m
/// periods.
///
/// # Validity
/// The solution found depends on the start where several exist; see `follow`.
///
/// # Errors
/// `NotConverged` with the worst state when no attempt closes; `Inconsistent` when half-wave
/// symmetry is asked of a network that cannot have it; anything
/// [`super::Flow::advance_to`] returns.
pub fn find_periodic(
    circuit: &Circuit,
    start: &Section,
    delay_rad: Option<f64>,
    target: Option<Target>,
    options: &ShootingOptions,
) -> Result<PeriodicSolution> {
    ShootingOptions::PERIODS.check(options.periods as f64)?;
    ShootingOptions::TOLERANCE.check(options.tolerance_ratio)?;
    if options.symmetry == Symmetry::HalfWave {
        check_symmetry(circuit, options)?;
    }
    let mut shooting = Shooting::new(circuit, start, delay_rad, target, options)?;
    let mut settle = options.settle_maps;
    let mut failure = None;
    for attempt in 0..=options.attempts {
        shooting.settle(settle)?;
        match shooting.newton() {
            Ok(solution) => return Ok(solution),
            Err(error) => failure = Some(error),
        }
        shooting.restart(start, delay_rad);
        settle = options.settle_maps + (4 << (2 * attempt));
    }
    Err(failure.expect("at least one attempt was made"))
}

/// What can be told at once to break x(t + T/2) = −x(t).
fn check_symmetry(circuit: &Circuit, options: &ShootingOptions) -> Result<()> {
    let hint = "look for a solution over the full period";
    if options.periods != 1 {
        return Err(Error::inconsistent("half-wave symmetry is asked of a subharmonic solution")
            .with_hint(hint));
    }
    for (id, source) in &circuit.sources {
        if !source.is_half_wave_symmetric() {
            return Err(Error::inconsistent(format!(
                "{} has even harmonics or a mean, so there is no half-wave symmetry",
                place(circuit.network().get(*id))
            ))
            .with_hint(hint));
        }
    }
    for id in &circuit.switches {
        let branch = circuit.network().get(*id);
        let both_ways = match &branch.element {
            Element::Triac(rule) => rule.crossing == super::Crossing::Either,
            _ => false,
        };
        if !both_ways {
            return Err(Error::inconsistent(format!(
                "{} treats the two half-waves differently, so there is no half-wave symmetry",
                place(branch)
            ))
            .with_hint(hint));
        }
    }
    Ok(())
}
