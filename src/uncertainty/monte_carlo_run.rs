use super::Sampled;

/// What a run came to.
#[derive(Clone, Debug, PartialEq)]
pub struct MonteCarloRun {
    /// The trials.
    pub sampled: Sampled,
    /// The numerical tolerance that was asked for, in the unit of the result.
    pub tolerance: f64,
    /// Whether mean, standard uncertainty and both ends of the interval are stable to it.
    pub stable: bool,
}
