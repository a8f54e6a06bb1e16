use std::fmt::Debug;

/// Someone who wants to know how far a long computation is, and may end it.
///
/// Asked between blocks of circuits; whole blocks are always finished, so that what is written is
/// the same whenever it is stopped.
pub trait Progress: Debug {
    /// So many of so many circuits are done.
    fn show(&mut self, done: u64, total: u64);

    /// Whether to stop here.
    fn is_stopped(&self) -> bool {
        false
    }
}

/// Nobody asks.
impl Progress for () {
    fn show(&mut self, _done: u64, _total: u64) {}
}
