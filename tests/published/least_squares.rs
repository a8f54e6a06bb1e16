//! The search for the least sum of squares against certified results.

use loopcrest::numeric::{LeastSquares, NormalMatrix, SearchOptions, least_squares};

use super::sources::NIST_STRD;
use crate::support::assert_relative;

/// NIST StRD, nonlinear regression, Misra1a: y = b1 (1 - exp(-b2 x)), on a logarithmic scale.
struct Misra1a {
    start: [f64; 2],
}

const Y: [f64; 14] = [
    10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47,
    81.78,
];
const X: [f64; 14] = [
    77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0,
];

impl Misra1a {
    fn values(&self, x: &[f64]) -> [f64; 2] {
        [self.start[0] * x[0].exp(), self.start[1] * x[1].exp()]
    }
}

impl LeastSquares for Misra1a {
    fn residuals(&mut self, x: &[f64]) -> Option<Vec<f64>> {
        let [b1, b2] = self.values(x);
        Some(X.iter().zip(Y).map(|(x, y)| b1 * (1.0 - (-b2 * x).exp()) - y).collect())
    }

    fn jacobian(&mut self, x: &[f64]) -> Option<Vec<f64>> {
        let [b1, b2] = self.values(x);
        let row = |x: &f64| [b1 * (1.0 - (-b2 * x).exp()), b1 * b2 * x * (-b2 * x).exp()];
        Some(X.iter().flat_map(row).collect())
    }
}

/// Certified: b1 = 2.3894212918E+02 (2.7070075241E+00), b2 = 5.5015643181E-04 (7.2668688436E-06),
/// residual sum of squares 1.2455138894E-01, from both of the published starts.
#[test]
fn published_misra1a() {
    for start in [[500.0, 0.0001], [250.0, 0.0005]] {
        let mut problem = Misra1a { start };
        let least = least_squares(&mut problem, &[0.0, 0.0], &SearchOptions::default()).unwrap();
        assert!(least.settled, "{NIST_STRD}");
        let reason = "the search ends at a reduction of 1e-10: values are good to its root's share";
        let [b1, b2] = problem.values(&least.x);
        assert_relative(b1, 2.3894212918e2, 1e-6, reason);
        assert_relative(b2, 5.5015643181e-4, 1e-6, reason);
        assert_relative(least.sum_of_squares(), 1.2455138894e-1, 1e-9, "the bottom is flat");
        // NIST: standard deviations scaled by the residuals over 14 - 2 degrees of freedom.
        let variance = least.sum_of_squares() / 12.0;
        let covariance = NormalMatrix::new(&least.jacobian, 2, 0).covariance().unwrap();
        assert_relative(b1 * (covariance[0] * variance).sqrt(), 2.7070075241, 1e-6, reason);
        assert_relative(b2 * (covariance[3] * variance).sqrt(), 7.2668688436e-6, 1e-6, reason);
    }
}
