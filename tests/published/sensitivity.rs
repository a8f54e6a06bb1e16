//! Variance-based sensitivity on functions whose indices are known.

use std::f64::consts::PI;

use loopcrest::uncertainty::{PairedDesign, SensitivityIndex, Stream, VarianceShares};

use crate::support::agrees_as_printed;

/// Indices of a function of independent uniform numbers in (0, 1).
pub(crate) fn indices(
    f: impl Fn(&[f64]) -> f64,
    coordinates: usize,
    rows: u64,
    seed: u64,
) -> Vec<SensitivityIndex> {
    let design = PairedDesign::ungrouped(Stream::new(seed), rows, coordinates);
    let mut sums = VarianceShares::new(coordinates, 0.0);
    for pair in 0..rows {
        let mixed: Vec<f64> = (0..coordinates).map(|g| f(&design.mixed(pair, g))).collect();
        sums.add(pair, f(&design.plain(pair)), f(&design.plain(rows + pair)), &mixed);
    }
    assert_eq!(sums.pairs(), rows);
    sums.indices().unwrap()
}

/// Each estimate within four of its own standard errors, and those errors small enough to tell the
/// inputs apart.
#[track_caller]
pub(crate) fn assert_estimates(got: &[SensitivityIndex], first: &[f64], total: &[f64]) {
    for (k, index) in got.iter().enumerate() {
        for (got, error, want) in [
            (index.first_order_ratio, index.first_order_error, first[k]),
            (index.total_ratio, index.total_error, total[k]),
        ] {
            assert!(error < 0.02, "input {k}: standard error {error}");
            // A total index of nothing has no error at all.
            let allowed = 4.0 * error + 1e-12;
            assert!((got - want).abs() <= allowed, "input {k}: {got} ± {error}, want {want}");
        }
    }
}

pub(crate) fn ishigami(u: &[f64]) -> f64 {
    let x: Vec<f64> = u.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
    x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
}

/// V₁ = (1 + bπ⁴/5)²/2, V₂ = a²/8, V₁₃ = b²π⁸(1/18 − 1/50), V their sum.
fn ishigami_indices() -> ([f64; 3], [f64; 3]) {
    let (a, b) = (7.0_f64, 0.1_f64);
    let v1 = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
    let v2 = a * a / 8.0;
    let v13 = b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
    let v = v1 + v2 + v13;
    ([v1 / v, v2 / v, 0.0], [(v1 + v13) / v, v2 / v, v13 / v])
}

/// T. Ishigami and T. Homma, An importance quantification technique in uncertainty analysis for
/// computer models, Proc. ISUMA 1990, 398–403: the function. Its indices with a = 7, b = 0.1 as
/// they are commonly printed (.3139, .4424, 0 and .5576, .4424, .2437) are those of the closed form.
#[test]
fn published_ishigami_function() {
    let (first, total) = ishigami_indices();
    agrees_as_printed(first[0], "0.3139");
    agrees_as_printed(first[1], "0.4424");
    agrees_as_printed(total[0], "0.5576");
    agrees_as_printed(total[2], "0.2437");
    assert_estimates(&indices(ishigami, 3, 40_000, 5), &first, &total);
}

/// Sobol's g-function, the product of (|4x − 2| + a)/(1 + a): the variance of one factor is
/// v = 1/(3(1 + a)²), so S = v/(Π(1 + v) − 1) and T = v Π(1 + v)/(1 + v)/(Π(1 + v) − 1).
/// I. M. Sobol, Sensitivity estimates for nonlinear mathematical models, Mathematical Modelling and
/// Computational Experiment 1 (1993) 407–414; a = 0, 1, 4.5, 9, 99, 99 as in Saltelli et al. 2010.
#[test]
fn published_product_function() {
    const A: [f64; 6] = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0];
    let v = A.map(|a: f64| 1.0 / (3.0 * (1.0 + a).powi(2)));
    let product: f64 = v.iter().map(|v| 1.0 + v).product();
    let first = v.map(|v| v / (product - 1.0));
    let total = v.map(|v| v * product / (1.0 + v) / (product - 1.0));
    let g = |u: &[f64]| {
        u.iter().zip(A).map(|(x, a)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a)).product::<f64>()
    };
    assert_estimates(&indices(g, 6, 40_000, 6), &first, &total);
}
