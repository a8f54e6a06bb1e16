use crate::numeric::NormalMatrix;

use super::Parameter;

/// What the captures can tell of the free values: each combination with its uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Singular values of the scaled derivatives, held currents and shifts taken out, largest first:
    /// how many standard uncertainties of the lines a change of 1 of the combination makes.
    pub singular_values: Vec<f64>,
    /// The combinations, in that order.
    pub combinations: Vec<Combination>,
    /// Standard uncertainty above which a combination is not told.
    pub limit_ratio: f64,
}

/// A direction in the space of the free values, moved together.
#[derive(Clone, Debug, PartialEq)]
pub struct Combination {
    /// Share of each free value, in the order asked for; their squares add up to 1.
    pub shares: Vec<(Parameter, f64)>,
    /// Relative standard uncertainty of the combination; `None` when nothing depends on it.
    pub standard_uncertainty_ratio: Option<f64>,
}

impl Told {
    /// From derivatives, every uncertainty enlarged by a factor.
    pub(super) fn new(
        free: &[Parameter],
        normal: &NormalMatrix,
        factor: f64,
        limit_ratio: f64,
    ) -> Self {
        let combine = |(direction, uncertainty): (&Vec<f64>, Option<f64>)| Combination {
            shares: free.iter().copied().zip(direction.iter().copied()).collect(),
            standard_uncertainty_ratio: uncertainty.map(|u| factor * u),
        };
        let uncertainties = normal.uncertainties();
        Self {
            singular_values: normal.singular_values.clone(),
            combinations: normal.directions.iter().zip(uncertainties).map(combine).collect(),
            limit_ratio,
        }
    }

    /// The combinations that the captures do not tell.
    pub fn untold(&self) -> impl Iterator<Item = &Combination> {
        let limit_ratio = self.limit_ratio;
        self.combinations
            .iter()
            .filter(move |c| c.standard_uncertainty_ratio.is_none_or(|u| u > limit_ratio))
    }

    /// Whether every combination is told.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.untold().next().is_none()
    }
}

impl Combination {
    /// Shares smaller than this are left out of the words.
    const WORTH_NAMING: f64 = 0.1;

    /// What moves together: "+0.71 input-reactance +0.70 capacitor-reactance".
    #[must_use]
    pub fn words(&self) -> String {
        let mut named: Vec<_> =
            self.shares.iter().filter(|(_, share)| share.abs() >= Self::WORTH_NAMING).collect();
        named.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let words: Vec<String> = named
            .iter()
            .map(|(parameter, share)| format!("{share:+.2} {}", parameter.key()))
            .collect();
        words.join(" ")
    }
}
