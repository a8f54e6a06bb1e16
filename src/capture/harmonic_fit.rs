use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// Samples whose rotations start anew from an exact angle.
const BLOCK: usize = 1024;

/// Mean and harmonics of one frequency, fitted to samples by least squares.
///
/// # Formula
/// x(n) = m + Σ_h c_h cos(h ω (n − z)) + s_h sin(h ω (n − z)), n from 0, z = (N − 1)/2. With the
/// time counted from the middle, cosines and sines are orthogonal, and the sums of their products
/// have the closed form D(θ) = sin(N θ/2) / sin(θ/2).
#[derive(Clone, Debug)]
pub(super) struct HarmonicFit {
    omega_rad: f64,
    middle: f64,
    /// Mean, then one value per harmonic.
    cos: Vec<f64>,
    /// One value per harmonic.
    sin: Vec<f64>,
    /// Sum of the squares that the fit leaves.
    pub(super) left_square_sum: f64,
}

impl HarmonicFit {
    /// The fit at ω radians per sample; `None` when the samples cannot tell the harmonics apart.
    pub(super) fn new(samples: &[f64], omega_rad: f64, harmonics: usize) -> Option<Self> {
        let n = samples.len() as f64;
        let middle = (n - 1.0) / 2.0;
        let sums = projections(samples, omega_rad, middle, harmonics);
        let kernel = |k: f64| {
            let half = k * omega_rad / 2.0;
            if half.abs() < 1e-12 { n } else { (n * half).sin() / half.sin() }
        };
        let gram = |sign: f64, from: usize| {
            let size = harmonics + 1 - from;
            DMatrix::from_fn(size, size, |r, c| {
                let (r, c) = ((r + from) as f64, (c + from) as f64);
                0.5 * (kernel(r - c) + sign * kernel(r + c))
            })
        };
        let cos_sums = DVector::from_iterator(harmonics + 1, sums.iter().map(|(c, _)| *c));
        let sin_sums = DVector::from_iterator(harmonics, sums[1..].iter().map(|(_, s)| *s));
        let cos = gram(1.0, 0).cholesky()?.solve(&cos_sums);
        let sin = gram(-1.0, 1).cholesky()?.solve(&sin_sums);
        let total: f64 = samples.iter().map(|x| x * x).sum();
        let left_square_sum = (total - cos.dot(&cos_sums) - sin.dot(&sin_sums)).max(0.0);
        let fit = Self {
            omega_rad,
            middle,
            cos: cos.iter().copied().collect(),
            sin: sin.iter().copied().collect(),
            left_square_sum,
        };
        fit.cos.iter().chain(&fit.sin).all(|value| value.is_finite()).then_some(fit)
    }

    /// Value at a position counted in samples from the first one.
    pub(super) fn at(&self, position: f64) -> f64 {
        let (sin_1, cos_1) = (self.omega_rad * (position - self.middle)).sin_cos();
        let (mut c, mut s) = (1.0, 0.0);
        let mut sum = self.cos[0];
        for (cos_h, sin_h) in self.cos[1..].iter().zip(&self.sin) {
            (c, s) = (c * cos_1 - s * sin_1, s * cos_1 + c * sin_1);
            sum += cos_h * c + sin_h * s;
        }
        sum
    }

    /// Phase of the fundamental at a position counted in samples from the first one.
    pub(super) fn phase_rad(&self, position: f64) -> f64 {
        self.sin[0].atan2(self.cos[1]) - self.omega_rad * (position - self.middle)
    }

    /// Order with the largest amplitude, and the fundamental's part of the power of all orders.
    pub(super) fn strongest(&self) -> (usize, f64) {
        let power = |(c, s): (&f64, &f64)| c * c + s * s;
        let powers: Vec<f64> = self.cos[1..].iter().zip(&self.sin).map(power).collect();
        let total: f64 = powers.iter().sum();
        let top = (0..powers.len()).max_by(|a, b| powers[*a].total_cmp(&powers[*b]));
        let ratio = if total > 0.0 { powers[0] / total } else { 0.0 };
        (top.map_or(1, |k| k + 1), ratio)
    }

    /// Σ h² A_h²: how sharply the samples tell the frequency.
    pub(super) fn sharpness(&self) -> f64 {
        let pairs = self.cos[1..].iter().zip(&self.sin).enumerate();
        pairs.map(|(k, (c, s))| ((k + 1) as f64).powi(2) * (c * c + s * s)).sum()
    }
}

/// Σ x cos and Σ x sin for the orders 0 to `harmonics`.
fn projections(samples: &[f64], omega_rad: f64, middle: f64, harmonics: usize) -> Vec<(f64, f64)> {
    let each = |(block, part): (usize, &[f64])| -> Vec<(f64, f64)> {
        let start = (block * BLOCK) as f64 - middle;
        let turns = |at: f64| -> (Vec<f64>, Vec<f64>) {
            (0..=harmonics).map(|h| (h as f64 * omega_rad * at).sin_cos()).unzip()
        };
        // All orders turn side by side: their chains of products do not wait for one another.
        let (sin_1, cos_1) = turns(1.0);
        let (mut s, mut c) = turns(start);
        let (mut sum_s, mut sum_c) = (vec![0.0; harmonics + 1], vec![0.0; harmonics + 1]);
        for x in part {
            for h in 0..=harmonics {
                sum_c[h] += x * c[h];
                sum_s[h] += x * s[h];
                (c[h], s[h]) =
                    (c[h] * cos_1[h] - s[h] * sin_1[h], s[h] * cos_1[h] + c[h] * sin_1[h]);
            }
        }
        sum_c.into_iter().zip(sum_s).collect()
    };
    let parts: Vec<_> = samples.par_chunks(BLOCK).enumerate().map(each).collect();
    let mut sums = vec![(0.0, 0.0); harmonics + 1];
    // Added in the order of the blocks: the same bytes whatever the number of threads.
    for part in parts {
        for (sum, (c, s)) in sums.iter_mut().zip(part) {
            sum.0 += c;
            sum.1 += s;
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a sum of cosines is fitted without rest, also on a broken number of periods.
    #[test]
    fn exact_fit_returns_the_sum_it_was_given() {
        let omega_rad = 0.171;
        let truth =
            |t: f64| 0.3 + 2.0 * (omega_rad * t + 0.4).cos() - 0.7 * (3.0 * omega_rad * t).sin();
        let samples: Vec<f64> = (0..3000).map(|n| truth(f64::from(n))).collect();
        let fit = HarmonicFit::new(&samples, omega_rad, 5).unwrap();
        for position in [0.0, 17.25, 2999.0] {
            let error = (fit.at(position) - truth(position)).abs();
            assert!(error < 1e-10, "rounding of 3000 sums only, got {error:e}");
        }
        assert!(fit.left_square_sum < 1e-9, "rounding of a sum of squares of 7000 only");
    }
}
