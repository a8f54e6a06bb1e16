use num_complex::Complex64;

use crate::error::Result;
use crate::numeric::eigenvalues;
use crate::waveform::Waveform;

use super::{BranchId, BranchTrace, Circuit, Flow, Section, StepPlan, Symmetry, Trajectory};

/// A periodic steady state: where it starts, how it dies out or grows, how well it closes.
#[derive(Clone, Debug)]
pub struct PeriodicSolution {
    /// State at the start of the period.
    pub section: Section,
    /// Length of the solution's period.
    pub period_s: f64,
    /// Whether the second half is the first with the sign changed.
    pub symmetry: Symmetry,
    /// Common firing delay, when one was set or solved for.
    pub delay_rad: Option<f64>,
    /// Largest difference between start and end of the map, each state relative to its peak.
    pub defect_ratio: f64,
    /// Newton iterations, over all attempts.
    pub iterations: usize,
    /// What the sensing shows, when a target was given.
    pub sensed_a: Option<f64>,
    /// Multipliers of the solution's period, largest first.
    pub multipliers: Vec<Complex64>,
    /// Peak of each state over the map.
    pub scale: Vec<f64>,
    pub(super) plan: StepPlan,
}

/// What becomes of a small disturbance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stability {
    /// It dies out.
    Stable,
    /// It grows: the solution is not seen in practice.
    Unstable,
    /// It neither grows nor dies out within the accuracy of the multipliers.
    Marginal,
}

impl Stability {
    /// The word for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Stable => "stable",
            Self::Unstable => "unstable",
            Self::Marginal => "marginal",
        }
    }
}

impl PeriodicSolution {
    /// Multipliers this close to 1 in magnitude count as marginal.
    pub const MARGIN: f64 = 1e-7;

    /// Stable, unstable or marginal, by the largest multiplier.
    ///
    /// A network without states has no disturbance to follow: stable.
    #[must_use]
    pub fn stability(&self) -> Stability {
        match self.multipliers.first().map_or(0.0, |largest| largest.norm()) {
            m if m < 1.0 - Self::MARGIN => Stability::Stable,
            m if m > 1.0 + Self::MARGIN => Stability::Unstable,
            _ => Stability::Marginal,
        }
    }

    /// Time in which the slowest disturbance falls to 1/e; `None` when none does.
    #[must_use]
    pub fn decay_time_s(&self) -> Option<f64> {
        if self.stability() != Stability::Stable {
            return None;
        }
        let largest = self.multipliers.first()?.norm();
        (largest > 0.0).then(|| -self.period_s / largest.ln())
    }

    /// The course over the whole period.
    ///
    /// # Errors
    /// As [`Flow::advance_to`].
    pub fn trajectory(&self, circuit: &Circuit) -> Result<Trajectory> {
        let mut flow = Flow::new(circuit, self.plan)?;
        flow.set_delay_rad(self.delay_rad);
        flow.start(&self.section)?;
        let mut trajectory = Trajectory::default();
        flow.advance_to(self.section.time_s + self.period_s, Some(&mut trajectory))?;
        Ok(trajectory)
    }

    /// Times of the samples of a grid over the period: the middle of each cell.
    #[must_use]
    pub fn grid_s(&self, samples: usize) -> Vec<f64> {
        let cell_s = self.period_s / samples as f64;
        (0..samples).map(|k| self.section.time_s + (k as f64 + 0.5) * cell_s).collect()
    }

    /// Current of a branch as a waveform of one period of the solution.
    ///
    /// # Errors
    /// As [`Self::trajectory`] and [`Waveform::new`].
    pub fn waveform(
        &self,
        circuit: &Circuit,
        branch: BranchId,
        samples: usize,
    ) -> Result<Waveform> {
        let times_s = self.grid_s(samples);
        let samples_a = match self.symmetry {
            // The second half is known: half the work, and the symmetry is exact.
            Symmetry::HalfWave if samples.is_multiple_of(2) => {
                let half = self.half_trajectory(circuit)?;
                let mut samples_a = half.current_a(circuit, branch, &times_s[..samples / 2]);
                samples_a.extend_from_within(..);
                samples_a[samples / 2..].iter_mut().for_each(|i_a| *i_a = -*i_a);
                samples_a
            }
            _ => self.trajectory(circuit)?.current_a(circuit, branch, &times_s),
        };
        Waveform::new(samples_a, samples, self.period_s / samples as f64)
    }

    fn half_trajectory(&self, circuit: &Circuit) -> Result<Trajectory> {
        let mut flow = Flow::new(circuit, self.plan)?;
        flow.set_delay_rad(self.delay_rad);
        flow.start(&self.section)?;
        let mut half = Trajectory::default();
        flow.advance_to(self.section.time_s + 0.5 * self.period_s, Some(&mut half))?;
        Ok(half)
    }

    /// Voltage and current of some branches over the period, in the order asked.
    ///
    /// Quicker than [`Self::branches`] when few are wanted. The symmetry of a half-wave symmetric
    /// solution is exact here, so it is not for a network with constant voltages in it.
    ///
    /// # Errors
    /// As [`Self::trajectory`].
    pub fn chosen_branches(
        &self,
        circuit: &Circuit,
        branches: &[BranchId],
        samples: usize,
    ) -> Result<Vec<BranchTrace>> {
        let times_s = self.grid_s(samples);
        if self.symmetry == Symmetry::FullPeriod || !samples.is_multiple_of(2) {
            return Ok(self.trajectory(circuit)?.chosen(circuit, branches, &times_s));
        }
        let half = self.half_trajectory(circuit)?;
        let mut traces = half.chosen(circuit, branches, &times_s[..samples / 2]);
        for trace in &mut traces {
            for values in [&mut trace.voltage_v, &mut trace.current_a] {
                values.extend_from_within(..);
                values[samples / 2..].iter_mut().for_each(|x| *x = -*x);
            }
        }
        Ok(traces)
    }

    /// Voltage and current of every branch over the period.
    ///
    /// # Errors
    /// As [`Self::trajectory`].
    pub fn branches(&self, circuit: &Circuit, samples: usize) -> Result<Vec<BranchTrace>> {
        Ok(self.trajectory(circuit)?.branches(circuit, &self.grid_s(samples)))
    }

    /// Whether two solutions are the same one, state by state within a part of the peaks.
    #[must_use]
    pub fn is_same_as(&self, other: &Self, part: f64) -> bool {
        self.section.same_shape(&other.section)
            && self
                .section
                .state
                .iter()
                .zip(&other.section.state)
                .zip(&self.scale)
                .all(|((a, b), scale)| (a - b).abs() <= part * scale.max(f64::MIN_POSITIVE))
    }
}

/// Multipliers of the whole period from the derivative of the map and its mirror.
pub(super) fn multipliers(size: usize, map: &[f64], symmetry: Symmetry) -> Vec<Complex64> {
    let mut values = eigenvalues(size, map).unwrap_or_default();
    if symmetry == Symmetry::HalfWave {
        values.iter_mut().for_each(|m| *m *= *m);
    }
    values
}
