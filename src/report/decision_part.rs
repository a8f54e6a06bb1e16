use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::instrument::{ReadingDecision, RuleDecision};

/// What may be decided from one number on the display.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DecisionPart {
    /// Probability that the true current lies in the band.
    pub conformance_probability: f64,
    /// Specific risk of accepting this reading: probability that the current is out of its band.
    pub specific_false_accept: f64,
    /// Specific risk of rejecting this reading: probability that the current is in its band.
    pub specific_false_reject: f64,
    /// Half of the band over the expanded uncertainty.
    pub test_uncertainty_ratio: Option<f64>,
    /// How that ratio is defined.
    pub test_uncertainty_definition: Option<&'static str>,
    /// Standard deviation of the currents that come before the meter, normal about the middle of the
    /// band: the prior of the global risks.
    pub prior_standard_deviation_a: f64,
    /// Simple acceptance and guard band.
    pub rules: Vec<RulePart>,
}

/// One decision rule.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RulePart {
    /// The rule in words.
    pub rule: String,
    /// Its guard band.
    pub guard_band_a: f64,
    /// Lowest true RMS current a reading may mean; `null` when nothing can be accepted.
    pub accept_low_a: Option<f64>,
    /// Highest true RMS current a reading may mean; `null` when nothing can be accepted.
    pub accept_high_a: Option<f64>,
    /// What it states of this reading.
    pub outcome: &'static str,
    /// Share of all currents that are out of band and accepted.
    pub global_false_accept: Option<f64>,
    /// Share of all currents that are in band and rejected.
    pub global_false_reject: Option<f64>,
}

impl From<&ReadingDecision> for DecisionPart {
    fn from(decision: &ReadingDecision) -> Self {
        Self {
            conformance_probability: decision.specific.conformance_probability,
            specific_false_accept: decision.specific.false_accept(),
            specific_false_reject: decision.specific.false_reject(),
            test_uncertainty_ratio: decision.test_ratio.map(|test| test.ratio),
            test_uncertainty_definition: decision.test_ratio.map(|test| test.definition.words()),
            prior_standard_deviation_a: decision.prior_deviation_a,
            rules: decision.rules.iter().map(RulePart::from).collect(),
        }
    }
}

impl From<&RuleDecision> for RulePart {
    fn from(decision: &RuleDecision) -> Self {
        let limits = decision.acceptance.limits();
        Self {
            rule: decision.rule.words(),
            guard_band_a: decision.acceptance.guard_band(),
            accept_low_a: limits.and_then(|limits| limits.lower()),
            accept_high_a: limits.and_then(|limits| limits.upper()),
            outcome: decision.outcome.key(),
            global_false_accept: decision.global.map(|risk| risk.false_accept),
            global_false_reject: decision.global.map(|risk| risk.false_reject),
        }
    }
}
