use super::{Knowledge, Limits};

/// The risk of the decision about one measured item.
///
/// # Source
/// JCGM 106:2012, 9.3.2 (accepted) and 9.3.3 (rejected).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpecificRisk {
    /// Probability that the true value lies inside the tolerance.
    pub conformance_probability: f64,
}

impl SpecificRisk {
    /// The risk of an item of which this is known.
    #[must_use]
    pub fn new(knowledge: &Knowledge, tolerance: &Limits) -> Self {
        Self { conformance_probability: knowledge.conformance_probability(tolerance) }
    }

    /// Probability that the item is bad, if it is accepted.
    #[must_use]
    pub fn false_accept(&self) -> f64 {
        1.0 - self.conformance_probability
    }

    /// Probability that the item is good, if it is rejected.
    #[must_use]
    pub fn false_reject(&self) -> f64 {
        self.conformance_probability
    }
}
