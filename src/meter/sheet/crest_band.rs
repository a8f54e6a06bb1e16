/// Error added to the reading for crest factors up to an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrestBand {
    /// Highest crest factor it is meant for.
    pub up_to: f64,
    /// Largest error it adds, either sign, as a ratio of the reading.
    pub added_ratio: f64,
}
