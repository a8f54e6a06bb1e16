//! Sums over samples: in vector lanes, in fixed blocks whose partial sums are added in order, so that
//! the result has the same bytes whatever the number of threads. The width of the vectors is chosen
//! when the program runs; another processor may round the last bit the other way.

use pulp::{Arch, Simd, WithSimd};
use rayon::prelude::*;

use crate::error::Bounds;

/// Samples in one block. Large enough to hide the cost of a task, small enough for the cache.
const BLOCK: usize = 1 << 15;
/// Below this many samples threads cost more than they save.
const PARALLEL_FROM: usize = 1 << 18;

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
    let arch = Arch::new();
    let parts = blocks(samples_a, |block| arch.dispatch(BlockCheck { block, bounds }));
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

struct BlockCheck<'a> {
    block: &'a [f64],
    bounds: Bounds,
}

impl WithSimd for BlockCheck<'_> {
    type Output = (f64, bool);

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Self::Output {
        let (vectors, tail) = S::as_simd_f64s(self.block);
        let zero = simd.splat_f64s(0.0);
        // Two sets of sums, so that one addition need not wait for the one before. The largest
        // magnitude misses a NaN; the sum does not.
        let (mut sum, mut top) = ([zero; 2], [zero; 2]);
        let (pairs, odd) = vectors.as_chunks::<2>();
        for pair in pairs {
            for (at, v) in pair.iter().enumerate() {
                sum[at] = simd.add_f64s(sum[at], *v);
                top[at] = simd.max_f64s(top[at], simd.abs_f64s(*v));
            }
        }
        for v in odd {
            sum[0] = simd.add_f64s(sum[0], *v);
            top[0] = simd.max_f64s(top[0], simd.abs_f64s(*v));
        }
        let sum_a: f64 =
            simd.reduce_sum_f64s(simd.add_f64s(sum[0], sum[1])) + tail.iter().sum::<f64>();
        let top_a = tail
            .iter()
            .fold(simd.reduce_max_f64s(simd.max_f64s(top[0], top[1])), |a, b| a.max(b.abs()));
        let Self { bounds, .. } = self;
        (sum_a, sum_a.is_finite() && bounds.contains(top_a) && bounds.contains(-top_a))
    }
}

/// The moments around a known mean.
pub(super) fn moments(samples_a: &[f64], mean_a: f64) -> Moments {
    let arch = Arch::new();
    let parts = blocks(samples_a, |block| arch.dispatch(BlockMoments { block, mean_a }));
    parts[1..].iter().fold(parts[0], |total, part| total.and(part))
}

impl Moments {
    /// The moments of two stretches together.
    fn and(self, other: &Self) -> Self {
        Self {
            square_ac_a2: self.square_ac_a2 + other.square_ac_a2,
            abs_a: self.abs_a + other.abs_a,
            abs_ac_a: self.abs_ac_a + other.abs_ac_a,
            max_a: self.max_a.max(other.max_a),
            min_a: self.min_a.min(other.min_a),
        }
    }
}

struct BlockMoments<'a> {
    block: &'a [f64],
    mean_a: f64,
}

impl WithSimd for BlockMoments<'_> {
    type Output = Moments;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Moments {
        let (vectors, tail) = S::as_simd_f64s(self.block);
        let mean_a = simd.splat_f64s(self.mean_a);
        let mut lanes = [Lanes::new(simd), Lanes::new(simd)];
        let (pairs, odd) = vectors.as_chunks::<2>();
        for [a, b] in pairs {
            lanes[0].add(simd, *a, mean_a);
            lanes[1].add(simd, *b, mean_a);
        }
        for v in odd {
            lanes[0].add(simd, *v, mean_a);
        }
        let [one, two] = lanes.map(|lanes| lanes.total(simd));
        let mut total = one.and(&two);
        for i_a in tail {
            let ac_a = i_a - self.mean_a;
            total = total.and(&Moments {
                square_ac_a2: ac_a * ac_a,
                abs_a: i_a.abs(),
                abs_ac_a: ac_a.abs(),
                max_a: *i_a,
                min_a: *i_a,
            });
        }
        total
    }
}

/// One vector of each sum.
struct Lanes<S: Simd> {
    square: S::f64s,
    abs: S::f64s,
    abs_ac: S::f64s,
    max: S::f64s,
    min: S::f64s,
}

impl<S: Simd> Lanes<S> {
    #[inline(always)]
    fn new(simd: S) -> Self {
        let zero = simd.splat_f64s(0.0);
        Self {
            square: zero,
            abs: zero,
            abs_ac: zero,
            max: simd.splat_f64s(f64::NEG_INFINITY),
            min: simd.splat_f64s(f64::INFINITY),
        }
    }

    #[inline(always)]
    fn add(&mut self, simd: S, i_a: S::f64s, mean_a: S::f64s) {
        let ac_a = simd.sub_f64s(i_a, mean_a);
        self.square = simd.add_f64s(self.square, simd.mul_f64s(ac_a, ac_a));
        self.abs = simd.add_f64s(self.abs, simd.abs_f64s(i_a));
        self.abs_ac = simd.add_f64s(self.abs_ac, simd.abs_f64s(ac_a));
        self.max = simd.max_f64s(self.max, i_a);
        self.min = simd.min_f64s(self.min, i_a);
    }

    #[inline(always)]
    fn total(&self, simd: S) -> Moments {
        Moments {
            square_ac_a2: simd.reduce_sum_f64s(self.square),
            abs_a: simd.reduce_sum_f64s(self.abs),
            abs_ac_a: simd.reduce_sum_f64s(self.abs_ac),
            max_a: simd.reduce_max_f64s(self.max),
            min_a: simd.reduce_min_f64s(self.min),
        }
    }
}
