/// How a sweep ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SweepEnd {
    /// Circuits of this part.
    pub circuits: u64,
    /// Circuits that were on disk before.
    pub found: u64,
    /// Circuits on disk now.
    pub done: u64,
}

impl SweepEnd {
    /// Whether nothing is left to do.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.done == self.circuits
    }
}
