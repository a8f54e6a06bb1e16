use crate::error::{Note, Result};

/// Where the blocks of a stream come from.
pub(super) trait BlockSource: std::fmt::Debug + Send {
    /// Appends the next samples in amperes, gaps as NaN; false when there are no more.
    fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool>;

    /// Bytes of the file that are done.
    fn done_bytes(&self) -> u64;

    /// What was noticed while reading; complete once the blocks are at their end.
    fn notes(&self) -> Vec<Note>;
}
