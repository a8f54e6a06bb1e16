use crate::error::{Bounds, Result};
use crate::regulator::Step;
use crate::uncertainty::Distribution;
use crate::uncertainty::decision::{
    Acceptance, GlobalRisk, GuardBand, Limits, SpecificRisk, TestRatio,
};

use super::{CorrectedReading, RuleDecision, ShownCurrent};

/// What may be decided from one number on the display: limits, outcomes and risks.
///
/// # Formula
/// Specific: p = P(low ≤ I ≤ high) for this reading. Global: over a prior, normal about the middle of
/// the band, with errors of the reading taken as normal.
///
/// # Source
/// JCGM 106:2012, 8 and 9; ILAC-G8:09/2019, 4.2.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingDecision {
    /// What the number on the display means.
    pub shown: ShownCurrent,
    /// Risk of the decision about this reading.
    pub specific: SpecificRisk,
    /// Half of the band over the expanded uncertainty; `None` where there is none.
    pub test_ratio: Option<TestRatio>,
    /// Standard deviation of the currents that come before the meter.
    pub prior_deviation_a: f64,
    /// Simple acceptance, then a guard band of U.
    pub rules: Vec<RuleDecision>,
}

impl ReadingDecision {
    /// Standard deviation of the prior over half of the band, where nothing is known: about 95 % of
    /// the currents then lie in the band. Our own choice, no source.
    pub const PRIOR_OVER_HALF_BAND: f64 = 0.5;
    /// Standard deviation of the prior over the nominal.
    pub const PRIOR_RATIO: Bounds = Bounds::new("scatter of the currents found", "", 1e-5, 1.0);

    const RULES: [GuardBand; 2] = [GuardBand::None, GuardBand::Expanded(1.0)];

    /// Decides about a number shown at a step.
    ///
    /// `prior_ratio` is the standard deviation of the currents that come before the meter over the
    /// nominal; [`Self::PRIOR_OVER_HALF_BAND`] stands in where nobody knows.
    ///
    /// # Errors
    /// `OutOfRange` for a prior out of bounds; as [`CorrectedReading::at`] and [`GlobalRisk::new`].
    pub fn new(
        reading: &CorrectedReading<'_>,
        step: &Step,
        shown_a: f64,
        prior_ratio: Option<f64>,
    ) -> Result<Self> {
        let (low_a, high_a) = (step.band.low_a(), step.band.high_a());
        let band = Limits::between(low_a, high_a)?;
        let prior_deviation_a = match prior_ratio {
            Some(ratio) => Self::PRIOR_RATIO.check(ratio)? * step.nominal.a(),
            None => Self::PRIOR_OVER_HALF_BAND * 0.5 * (high_a - low_a),
        };
        let prior = Distribution::Normal {
            mean: 0.5 * (low_a + high_a),
            standard_uncertainty: prior_deviation_a,
        };
        let shown = reading.at(shown_a, &band)?;
        let decide = |rule: GuardBand| -> Result<RuleDecision> {
            let acceptance = Acceptance::new(band, rule, &shown.expanded)?;
            let u_a = shown.standard_uncertainty_a;
            let global = match acceptance.limits() {
                Some(limits) if u_a > 0.0 => Some(GlobalRisk::new(&prior, u_a, &band, &limits)?),
                _ => None,
            };
            Ok(RuleDecision { rule, acceptance, outcome: acceptance.outcome(shown.true_a), global })
        };
        Ok(Self {
            specific: SpecificRisk { conformance_probability: shown.conformance_probability },
            test_ratio: TestRatio::to_expanded(&band, &shown.expanded).ok(),
            prior_deviation_a,
            rules: Self::RULES.into_iter().map(decide).collect::<Result<_>>()?,
            shown,
        })
    }
}
