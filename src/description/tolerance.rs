use crate::uncertainty::Distribution;

use super::{Description, Parameter};

/// What is known of one number of a description: a distribution around it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerance {
    /// The number.
    pub parameter: Parameter,
    /// Its distribution, in the number's SI base unit.
    pub distribution: Distribution,
    /// Numbers of one group share one sensitivity index.
    pub group: String,
    /// Whether it is a default of ours, not the user's word.
    pub is_generic: bool,
}

impl Tolerance {
    /// Those of a description that change anything in it.
    #[must_use]
    pub fn in_use(description: &Description) -> Vec<Self> {
        let acts = |tolerance: &&Self| {
            let is_known = matches!(tolerance.distribution, Distribution::Exactly(_));
            !is_known && tolerance.parameter.acts_in(description)
        };
        description.tolerances.iter().filter(acts).cloned().collect()
    }

    /// The value at a share of the probability, held inside the number's bounds.
    #[must_use]
    pub fn value(&self, share: f64) -> f64 {
        let bounds = self.parameter.bounds();
        self.distribution.quantile(share).clamp(bounds.min, bounds.max)
    }
}
