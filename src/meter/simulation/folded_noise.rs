//! What noise adds to a mean magnitude, from a table: a period has thousands of samples near zero.

use std::f64::consts::{FRAC_2_PI, SQRT_2};
use std::sync::LazyLock;

use statrs::function::erf::{erf, erfc};

/// Farther from zero than this, in sigmas, noise does not change the sign: the rest is below 1e-15.
const FAR: f64 = 8.0;
/// Cells of the table.
const CELLS: usize = 1024;

/// Value and slope at the edges of the cells.
static TABLE: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
    let edge = |k: usize| FAR * k as f64 / CELLS as f64;
    (0..=CELLS).map(|k| (exact(edge(k)), -erfc(edge(k) / SQRT_2))).collect()
});

fn exact(x: f64) -> f64 {
    FRAC_2_PI.sqrt() * (-0.5 * x * x).exp() - x * (1.0 - erf(x / SQRT_2))
}

/// E|x + n| − x for normal n of standard deviation 1, x not negative.
///
/// # Formula
/// f(x) = √(2/π) e^{−x²/2} − x (1 − erf(x/√2)), f′(x) = −erfc(x/√2); cubic in each cell.
///
/// # Validity
/// Within h⁴/384 · max |f⁗| = 1e-11 of the formula (`tests` below).
pub(super) fn excess(x: f64) -> f64 {
    // What is not a number is not far either; the table has nothing to say of it.
    if x.is_nan() || x >= FAR {
        return 0.0;
    }
    const PER_CELL: f64 = FAR / CELLS as f64;
    let place = x / PER_CELL;
    let cell = (place as usize).min(CELLS - 1);
    let t = place - cell as f64;
    let ((f0, d0), (f1, d1)) = (TABLE[cell], TABLE[cell + 1]);
    let (d0, d1) = (d0 * PER_CELL, d1 * PER_CELL);
    let rise = f1 - f0;
    let square = 3.0 * rise - 2.0 * d0 - d1;
    let cube = d0 + d1 - 2.0 * rise;
    ((cube * t + square) * t + d0) * t + f0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bound of a cubic through values and slopes, with the fourth derivative at its largest, 0.8.
    #[test]
    fn exact_table_is_the_formula() {
        for k in 0..=9000 {
            let x = f64::from(k) * 1e-3 + 3.7e-4;
            assert!((excess(x) - exact(x)).abs() < 2e-11, "{x}: {} {}", excess(x), exact(x));
        }
        assert!((excess(0.0) - FRAC_2_PI.sqrt()).abs() < 1e-15);
    }
}
