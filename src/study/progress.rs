use std::fmt::Debug;

/// Someone who wants to know how far a long computation is, and may end it.
///
/// Asked after every circuit, in the order of their numbers: what there is when it is stopped is the
/// beginning of the whole. The question may come from any thread.
pub trait Progress: Debug + Send {
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
