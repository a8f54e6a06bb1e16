use super::Stream;

/// Pairs of independent rows of uniform numbers, and the mixed rows between them: what variance-based
/// sensitivity is computed from.
///
/// Row `j` of A is trial `j` of the stream; row `j` of B is trial `rows + j`; the mixed row of a group
/// is that of A with the group's coordinates taken from B. Coordinates of one group move together and
/// share one index.
///
/// # Source
/// A. Saltelli et al., Variance based sensitivity analysis of model output, Computer Physics
/// Communications 181 (2010) 259–270: matrices A, B and A_B.
#[derive(Clone, Debug)]
pub struct PairedDesign {
    stream: Stream,
    rows: u64,
    group_of: Vec<usize>,
    groups: usize,
}

impl PairedDesign {
    /// A design of so many pairs; `group_of` names the group of each coordinate, from 0 up.
    #[must_use]
    pub fn new(stream: Stream, rows: u64, group_of: Vec<usize>) -> Self {
        let groups = group_of.iter().max().map_or(0, |last| last + 1);
        Self { stream, rows, group_of, groups }
    }

    /// Each coordinate a group of its own.
    #[must_use]
    pub fn ungrouped(stream: Stream, rows: u64, coordinates: usize) -> Self {
        Self::new(stream, rows, (0..coordinates).collect())
    }

    /// Number of pairs.
    #[must_use]
    pub fn rows(&self) -> u64 {
        self.rows
    }

    /// Number of groups.
    #[must_use]
    pub fn groups(&self) -> usize {
        self.groups
    }

    /// Row `trial` of the plain sample: A first, then B, then on without end.
    #[must_use]
    pub fn plain(&self, trial: u64) -> Vec<f64> {
        (0..self.group_of.len()).map(|c| self.stream.uniform(trial, c as u32)).collect()
    }

    /// Row `pair` of A with the coordinates of a group from B.
    #[must_use]
    pub fn mixed(&self, pair: u64, group: usize) -> Vec<f64> {
        let trial = |own: usize| if own == group { self.rows + pair } else { pair };
        let row = self.group_of.iter().enumerate();
        row.map(|(c, own)| self.stream.uniform(trial(*own), c as u32)).collect()
    }
}
