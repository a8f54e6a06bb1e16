use crate::uncertainty::decision::{Acceptance, GlobalRisk, GuardBand, Outcome};

/// What one decision rule says of a reading, and its risk over all currents that come before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleDecision {
    /// The rule.
    pub rule: GuardBand,
    /// Its limits for the true RMS current a reading means.
    pub acceptance: Acceptance,
    /// What it states of this reading.
    pub outcome: Outcome,
    /// Its risks over the prior; `None` when it accepts nothing or the reading has no uncertainty.
    pub global: Option<GlobalRisk>,
}
