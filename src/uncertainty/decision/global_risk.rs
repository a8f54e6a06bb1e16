use super::{Acceptance, Limits};
use crate::error::{Bounds, Error, Result};
use crate::numeric::{integral, root_between};
use crate::uncertainty::{Distribution, Estimate, coverage};

/// The risks of a decision rule over all the items a process delivers.
///
/// The specific risk of one measured item is [`SpecificRisk`](super::SpecificRisk).
///
/// # Formula
/// false accept = ∫ outside T g(η) P(accept|η) dη; false reject = ∫ inside T g(η) (1 − P(accept|η)) dη;
/// P(accept|η) = Φ((A_U − η)/u) − Φ((A_L − η)/u), g the density of the process, u the standard
/// uncertainty of the measurement.
///
/// # Validity
/// Normal measurement errors. Each integral to 10⁻¹¹.
///
/// # Source
/// JCGM 106:2012, 9.4 and 9.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlobalRisk {
    /// Probability that an item conforms.
    pub in_tolerance: f64,
    /// Probability that an item is bad and accepted (the consumer's risk).
    pub false_accept: f64,
    /// Probability that an item is good and rejected (the producer's risk).
    pub false_reject: f64,
}

impl GlobalRisk {
    /// Standard uncertainties beyond an acceptance limit where nothing is accepted any more: Φ(−9) is
    /// 10⁻¹⁹.
    const FAR: f64 = 9.0;
    const TOLERANCE: f64 = 1e-11;
    const TARGET: Bounds = Bounds::new("false accept asked for", "", 1e-9, 0.5);

    /// The risks of accepting inside `acceptance` what should lie inside `tolerance`.
    ///
    /// # Errors
    /// `OutOfRange` for an uncertainty that is not positive; `Inconsistent` for a process without a
    /// density or limits on different sides; `NotConverged` when a density is too sharp to integrate.
    pub fn new(
        process: &Distribution,
        standard_uncertainty: f64,
        tolerance: &Limits,
        acceptance: &Limits,
    ) -> Result<Self> {
        let process = process.check()?;
        Estimate::STANDARD_UNCERTAINTY.check(standard_uncertainty)?;
        if standard_uncertainty <= 0.0 || process.density(process.mean()).is_none() {
            return Err(Error::inconsistent(
                "a global risk needs a process that varies and a measurement that is uncertain",
            ));
        }
        let same_sides = tolerance.lower().is_some() == acceptance.lower().is_some()
            && tolerance.upper().is_some() == acceptance.upper().is_some();
        if !same_sides {
            return Err(Error::inconsistent(
                "acceptance and tolerance limits are not on the same sides",
            ));
        }
        let rule = Rule { process, u: standard_uncertainty, acceptance: *acceptance };
        let far = Self::FAR * standard_uncertainty;
        let (mut in_tolerance, mut false_accept) = (1.0, 0.0);
        if let (Some(limit), Some(accepted)) = (tolerance.upper(), acceptance.upper()) {
            in_tolerance -= 1.0 - process.cdf(limit);
            false_accept += rule.accepted(limit, accepted + far)?;
        }
        if let (Some(limit), Some(accepted)) = (tolerance.lower(), acceptance.lower()) {
            in_tolerance -= process.cdf(limit);
            false_accept += rule.accepted(accepted - far, limit)?;
        }
        let false_reject = match (tolerance.lower(), tolerance.upper()) {
            (Some(low), Some(high)) => rule.rejected(low, high)?,
            (None, Some(high)) => {
                rule.rejected(acceptance.upper().map_or(high, |limit| limit - far), high)?
            }
            (Some(low), None) => {
                rule.rejected(low, acceptance.lower().map_or(low, |limit| limit + far))?
            }
            (None, None) => 0.0,
        };
        Ok(Self { in_tolerance, false_accept, false_reject })
    }

    /// Probability that an item is accepted.
    #[must_use]
    pub fn accepted(&self) -> f64 {
        self.in_tolerance - self.false_reject + self.false_accept
    }

    /// Probability that an accepted item is bad; `None` when nothing is accepted.
    #[must_use]
    pub fn conditional_false_accept(&self) -> Option<f64> {
        (self.accepted() > 0.0).then(|| self.false_accept / self.accepted())
    }

    /// Probability that a rejected item is good; `None` when nothing is rejected.
    #[must_use]
    pub fn conditional_false_reject(&self) -> Option<f64> {
        let rejected = 1.0 - self.accepted();
        (rejected > 0.0).then(|| self.false_reject / rejected)
    }

    /// The acceptance limits whose false accept over the process is as asked for, the guard band being
    /// equal on both sides.
    ///
    /// # Errors
    /// As [`Self::new`]; `OutOfRange` for a risk out of bounds; `Inconsistent` when no guard band gives
    /// it.
    ///
    /// # Source
    /// JCGM 106:2012, 9.5.4: acceptance limits that meet a desired risk.
    pub fn guard_band_for(
        process: &Distribution,
        standard_uncertainty: f64,
        tolerance: &Limits,
        false_accept: f64,
    ) -> Result<Acceptance> {
        let target = Self::TARGET.check(false_accept)?;
        let far = Self::FAR * standard_uncertainty;
        // With both limits the guard bands may all but meet.
        let widest = tolerance.half_width().map_or(far, |half| far.min(half * (1.0 - 1e-9)));
        let excess = |guard_band: f64| -> Result<f64> {
            let acceptance = tolerance.narrowed(guard_band).ok_or_else(Self::unreachable)?;
            let risk = Self::new(process, standard_uncertainty, tolerance, &acceptance)?;
            Ok(risk.false_accept - target)
        };
        if excess(-far)? < 0.0 || excess(widest)? > 0.0 {
            return Err(Self::unreachable());
        }
        let guard_band = root_between(excess, -far, widest, 1e-10 * standard_uncertainty)?;
        Ok(Acceptance::at_distance(*tolerance, guard_band))
    }

    fn unreachable() -> Error {
        Error::inconsistent("no guard band gives that false accept")
            .with_hint("the process may never, or always, deliver that share of bad items")
    }
}

/// A process, a measurement and acceptance limits.
struct Rule {
    process: Distribution,
    u: f64,
    acceptance: Limits,
}

impl Rule {
    fn accept(&self, eta: f64) -> f64 {
        let below = |limit: f64| coverage::normal_cdf((limit - eta) / self.u);
        self.acceptance.upper().map_or(1.0, below) - self.acceptance.lower().map_or(0.0, below)
    }

    fn accepted(&self, low: f64, high: f64) -> Result<f64> {
        self.integrate(|eta| self.accept(eta), low, high)
    }

    fn rejected(&self, low: f64, high: f64) -> Result<f64> {
        self.integrate(|eta| 1.0 - self.accept(eta), low, high)
    }

    /// ∫ g(η) share(η) dη, cut where the process or the acceptance bends.
    fn integrate(&self, share: impl Fn(f64) -> f64, low: f64, high: f64) -> Result<f64> {
        const CUTS: [f64; 9] = [1e-12, 1e-6, 1e-3, 0.1, 0.5, 0.9, 0.999, 1.0 - 1e-6, 1.0 - 1e-12];
        let limits = self.acceptance.lower().into_iter().chain(self.acceptance.upper());
        let around =
            limits.flat_map(|limit| [-6.0, -2.0, 0.0, 2.0, 6.0].map(|k| limit + k * self.u));
        let mut ends: Vec<f64> = CUTS
            .iter()
            .map(|p| self.process.quantile(*p))
            .chain(around)
            .filter(|end| *end > low && *end < high)
            .chain([low, high])
            .collect();
        ends.sort_by(f64::total_cmp);
        let density = |eta: f64| self.process.density(eta).unwrap_or(0.0) * share(eta);
        integral(density, &ends, GlobalRisk::TOLERANCE)
    }
}
