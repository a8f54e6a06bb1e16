use super::SensitivityIndex;

/// Running sums from which the sensitivity indices of one output are computed.
///
/// Its memory does not grow with the number of pairs: they are summed in [`Self::BLOCKS`] blocks,
/// which also give the standard errors.
///
/// # Formula
/// With y of rows A, B and of the mixed row M of a group, means over N pairs, m the mean and V the
/// variance of all of A and B:
///
/// S = mean((y_B − m)(y_M − y_A))/V,  T = mean((y_A − y_M)²)/(2 V)
///
/// Standard errors by leaving out one block at a time (jackknife).
///
/// # Source
/// Saltelli et al. 2010 (see [`super::PairedDesign`]), table 2, rows (b) for S and (f, after Jansen)
/// for T. Jackknife: B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, 1982.
#[derive(Clone, Debug)]
pub struct VarianceShares {
    reference: f64,
    blocks: Vec<Block>,
}

#[derive(Clone, Debug)]
struct Block {
    count: f64,
    a: f64,
    b: f64,
    squares: f64,
    groups: Vec<GroupSums>,
}

#[derive(Clone, Copy, Debug, Default)]
struct GroupSums {
    change: f64,
    b_times_change: f64,
    change_squared: f64,
}

impl VarianceShares {
    /// Blocks the pairs are dealt out to.
    pub const BLOCKS: usize = 20;

    /// No sums yet; a `reference` near the output's values keeps the digits of the sums.
    #[must_use]
    pub fn new(groups: usize, reference: f64) -> Self {
        let block = Block {
            count: 0.0,
            a: 0.0,
            b: 0.0,
            squares: 0.0,
            groups: vec![GroupSums::default(); groups],
        };
        Self { reference, blocks: vec![block; Self::BLOCKS] }
    }

    /// Adds the outputs of one pair: of its row in A, in B, and of the mixed row of each group.
    ///
    /// Pairs of which one output is unknown are left out by the caller.
    pub fn add(&mut self, pair: u64, y_a: f64, y_b: f64, y_mixed: &[f64]) {
        let block = &mut self.blocks[(pair % Self::BLOCKS as u64) as usize];
        let (a, b) = (y_a - self.reference, y_b - self.reference);
        block.count += 1.0;
        block.a += a;
        block.b += b;
        block.squares += a * a + b * b;
        for (sums, y) in block.groups.iter_mut().zip(y_mixed) {
            let change = y - self.reference - a;
            sums.change += change;
            sums.b_times_change += b * change;
            sums.change_squared += change * change;
        }
    }

    /// Number of pairs added.
    #[must_use]
    pub fn pairs(&self) -> u64 {
        self.blocks.iter().map(|block| block.count as u64).sum()
    }

    /// The index of each group; `None` while there are fewer pairs than two for each block, or when
    /// the output does not vary.
    #[must_use]
    pub fn indices(&self) -> Option<Vec<SensitivityIndex>> {
        if self.blocks.iter().any(|block| block.count < 2.0) {
            return None;
        }
        let whole = self.shares(None)?;
        let without: Vec<Vec<(f64, f64)>> =
            (0..Self::BLOCKS).map(|left_out| self.shares(Some(left_out))).collect::<Option<_>>()?;
        let indices = whole.iter().enumerate().map(|(group, &(first, total))| SensitivityIndex {
            first_order_ratio: first,
            first_order_error: jackknife(without.iter().map(|shares| shares[group].0)),
            total_ratio: total,
            total_error: jackknife(without.iter().map(|shares| shares[group].1)),
        });
        Some(indices.collect())
    }

    /// (S, T) of each group without one block.
    fn shares(&self, left_out: Option<usize>) -> Option<Vec<(f64, f64)>> {
        let kept = || {
            self.blocks
                .iter()
                .enumerate()
                .filter(move |(k, _)| Some(*k) != left_out)
                .map(|(_, b)| b)
        };
        let sum = |of: fn(&Block) -> f64| kept().map(of).sum::<f64>();
        let count = sum(|block| block.count);
        let mean = sum(|block| block.a + block.b) / (2.0 * count);
        let squares = sum(|block| block.squares) / (2.0 * count);
        let variance = squares - mean * mean;
        // What is left of a constant output is rounding.
        if variance <= 1e-24 * squares || variance <= 0.0 {
            return None;
        }
        let groups = self.blocks[0].groups.len();
        let of_group = |group: usize| {
            let sum = |of: fn(&GroupSums) -> f64| {
                kept().map(|block| of(&block.groups[group])).sum::<f64>() / count
            };
            let first = sum(|g| g.b_times_change) - mean * sum(|g| g.change);
            (first / variance, 0.5 * sum(|g| g.change_squared) / variance)
        };
        Some((0..groups).map(of_group).collect())
    }
}

/// Standard error from the estimates that leave out one block each.
fn jackknife(estimates: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = VarianceShares::BLOCKS as f64;
    let mean = estimates.clone().sum::<f64>() / count;
    let squares: f64 = estimates.map(|estimate| (estimate - mean).powi(2)).sum();
    ((count - 1.0) / count * squares).sqrt()
}
