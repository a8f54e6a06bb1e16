use std::path::Path;

use crate::error::{Note, Noted, Result};

use super::super::{ChannelOptions, ReadOptions, Samples, read_file};
use super::block_source::BlockSource;
use super::sample_stream::{Begun, picked};

/// Samples in a block.
const BLOCK: usize = 1 << 16;

/// A file held in memory.
#[derive(Debug)]
pub(super) struct WholeSource {
    samples: Samples,
    next: usize,
    size_bytes: u64,
}

impl WholeSource {
    pub(super) fn begin(
        path: &Path,
        reading: &ReadOptions,
        channel: &ChannelOptions,
    ) -> Result<Begun> {
        let Noted { value: record, mut notes } = read_file(path, reading)?;
        let (about, samples) = picked(record, channel).map_err(|error| error.in_file(path))?;
        notes.extend(samples.notes);
        let samples = samples.value;
        let sample_rate_hz = samples.sample_rate_hz();
        let size_bytes = std::fs::metadata(path).map_or(0, |about| about.len());
        let source = Box::new(Self { samples, next: 0, size_bytes });
        Ok(Begun { source, about, sample_rate_hz, notes, data_bytes: None })
    }
}

impl BlockSource for WholeSource {
    fn next_block(&mut self, block_a: &mut Vec<f64>) -> Result<bool> {
        let all_a = self.samples.raw_a();
        let end = all_a.len().min(self.next + BLOCK);
        block_a.extend_from_slice(&all_a[self.next..end]);
        self.next = end;
        Ok(self.next < all_a.len())
    }

    fn done_bytes(&self) -> u64 {
        let share = self.next as f64 / self.samples.len().max(1) as f64;
        (share * self.size_bytes as f64) as u64
    }

    /// Everything was noticed at the beginning.
    fn notes(&self) -> Vec<Note> {
        Vec::new()
    }
}
