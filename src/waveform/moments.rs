//! Sums over samples: vectorised in eight lanes, in fixed blocks whose partial sums are added in
//! order, so that the result has the same bytes whatever the number of threads.

use rayon::prelude::*;

use crate::error::Bounds;

/// Samples in one block. Large enough to hide the cost of a task, small enough for the cache.
const BLOCK: usize = 1 << 15;
/// Below this many samples threads cost more than they save.
const PARALLEL_FROM: usize = 1 << 18;
const LANES: usize = 8;

/// Outcome of the check at construction.
pub(super) struct Check {
    pub(super) sum_a: f64,
    pub(super) first_bad: Option<usize>,
}

/// Sums needed for every time-domain measure, given the mean.
#[derive(Clone, Copy)]
pub(super) struct Moments {
    pub(super) square_ac_a2: f64,
    pub(super) abs_a: f64,
    pub(super) abs_ac_a: f64,
    pub(super) max_a: f64,
    pub(super) min_a: f64,
}

fn blocks<T: Send>(samples_a: &[f64], each: impl Fn(&[f64]) -> T + Sync) -> Vec<T> {
    if samples_a.len() >= PARALLEL_FROM {
        samples_a.par_chunks(BLOCK).map(&each).collect()
    } else {
        samples_a.chunks(BLOCK).map(each).collect()
    }
}

/// Sum of the samples and the first one outside the bounds.
pub(super) fn check(samples_a: &[f64], bounds: Bounds) -> Check {
    let parts = blocks(samples_a, |block| {
        let mut sum = [0.0; LANES];
        // The largest magnitude misses a NaN (max ignores it); the sum does not.
        let mut top = [0.0_f64; LANES];
        let (head, tail) = block.as_chunks::<LANES>();
        for eight in head {
            for lane in 0..LANES {
                sum[lane] += eight[lane];
                top[lane] = top[lane].max(eight[lane].abs());
            }
        }
        for (lane, i_a) in tail.iter().enumerate() {
            sum[lane] += i_a;
            top[lane] = top[lane].max(i_a.abs());
        }
        let sum_a: f64 = sum.iter().sum();
        let top_a = top.iter().fold(0.0_f64, |a, b| a.max(*b));
        (sum_a, sum_a.is_finite() && bounds.contains(top_a) && bounds.contains(-top_a))
    });
    let all_good = parts.iter().all(|(_, good)| *good);
    Check {
        sum_a: parts.iter().map(|(sum_a, _)| sum_a).sum(),
        first_bad: if all_good {
            None
        } else {
            samples_a.iter().position(|i_a| !bounds.contains(*i_a))
        },
    }
}

/// The moments around a known mean.
pub(super) fn moments(samples_a: &[f64], mean_a: f64) -> Moments {
    let parts = blocks(samples_a, |block| block_moments(block, mean_a));
    let mut total = parts[0];
    for part in &parts[1..] {
        total.square_ac_a2 += part.square_ac_a2;
        total.abs_a += part.abs_a;
        total.abs_ac_a += part.abs_ac_a;
        total.max_a = total.max_a.max(part.max_a);
        total.min_a = total.min_a.min(part.min_a);
    }
    total
}

fn block_moments(block: &[f64], mean_a: f64) -> Moments {
    let mut square = [0.0_f64; LANES];
    let mut abs = [0.0_f64; LANES];
    let mut abs_ac = [0.0_f64; LANES];
    let mut max = [f64::NEG_INFINITY; LANES];
    let mut min = [f64::INFINITY; LANES];
    let mut add = |lane: usize, i_a: f64| {
        let ac_a = i_a - mean_a;
        square[lane] += ac_a * ac_a;
        abs[lane] += i_a.abs();
        abs_ac[lane] += ac_a.abs();
        // Comparison instead of f64::max: samples are finite, and this compiles to one instruction.
        max[lane] = if i_a > max[lane] { i_a } else { max[lane] };
        min[lane] = if i_a < min[lane] { i_a } else { min[lane] };
    };
    let (head, tail) = block.as_chunks::<LANES>();
    for eight in head {
        for (lane, i_a) in eight.iter().enumerate() {
            add(lane, *i_a);
        }
    }
    for (lane, i_a) in tail.iter().enumerate() {
        add(lane, *i_a);
    }
    Moments {
        square_ac_a2: square.iter().sum(),
        abs_a: abs.iter().sum(),
        abs_ac_a: abs_ac.iter().sum(),
        max_a: max.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b)),
        min_a: min.iter().fold(f64::INFINITY, |a, b| a.min(*b)),
    }
}
