use nalgebra::{DMatrix, DVector};

use crate::error::{Error, ErrorKind, Result};

/// Residuals whose squares are to add up to as little as possible.
pub trait LeastSquares {
    /// The residuals at a point; `None` where the model has no answer, so that the search turns back.
    fn residuals(&mut self, x: &[f64]) -> Option<Vec<f64>>;

    /// Derivatives of the residuals by the parameters at the last point that was accepted, row-major,
    /// one row a residual; `None` where the model has no answer in the neighbourhood.
    fn jacobian(&mut self, x: &[f64]) -> Option<Vec<f64>>;

    /// The search goes on from this point: what helps to solve its neighbours may be kept.
    fn accepted(&mut self, _x: &[f64]) {}

    /// Ends between which a parameter is looked for.
    fn range(&self, _parameter: usize) -> (f64, f64) {
        (f64::NEG_INFINITY, f64::INFINITY)
    }
}

/// When a search for the least sum of squares ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchOptions {
    /// Derivatives computed at most.
    pub iterations: usize,
    /// Predicted reduction of the sum, relative to it, that is not worth a step.
    pub reduction_ratio: f64,
    /// Step, relative to 1 plus the length of the parameter vector, that is not worth taking.
    pub step_ratio: f64,
}

impl Default for SearchOptions {
    fn default() -> Self {
        Self { iterations: 200, reduction_ratio: 1e-10, step_ratio: 1e-9 }
    }
}

/// Where a sum of squares is least, as far as the search could tell.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastPoint {
    /// The parameters.
    pub x: Vec<f64>,
    /// The residuals there.
    pub residuals: Vec<f64>,
    /// Their derivatives there, row-major.
    pub jacobian: Vec<f64>,
    /// Derivatives computed.
    pub iterations: usize,
    /// Whether a criterion ended the search, not the number of iterations: along a combination that
    /// the residuals hardly depend on, a search may creep for ever.
    pub settled: bool,
}

impl LeastPoint {
    /// Sum of the squares.
    #[must_use]
    pub fn sum_of_squares(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }
}

/// Looks for the least sum of squares from a start, by damped Gauss-Newton steps.
///
/// The parameters shall be of one size (logarithms, say): all are damped alike, so that what the
/// residuals hardly depend on stays near its start instead of running away. A parameter at an end of
/// its range that wants to go beyond is held there.
///
/// # Formula
/// (JᵀJ + μ) δ = −Jᵀr by the singular values of J; μ begins at 10⁻³ of the largest of their squares,
/// falls to a tenth after a step that does what the linear model promised, and rises faster and
/// faster after steps that fail.
///
/// # Errors
/// `NotConverged` when the start itself has no answer, or its neighbourhood has none.
///
/// # Source
/// K. Levenberg (1944), D. Marquardt (1963); growth of μ after failures: H. B. Nielsen,
/// IMM-REP-1999-05 (from memory).
pub fn least_squares(
    problem: &mut dyn LeastSquares,
    start: &[f64],
    options: &SearchOptions,
) -> Result<LeastPoint> {
    let ranges: Vec<(f64, f64)> = (0..start.len()).map(|at| problem.range(at)).collect();
    let mut x = start.to_vec();
    let mut residuals = problem.residuals(&x).ok_or_else(|| lost("the start"))?;
    problem.accepted(&x);
    let (mut damping_ratio, mut growth) = (1e-3, 2.0);
    let mut iterations = 0;
    loop {
        let jacobian = problem.jacobian(&x).ok_or_else(|| lost("a neighbour"))?;
        iterations += 1;
        let steps = Steps::new(&jacobian, &residuals, &x, &ranges);
        let found = |x, residuals, settled| {
            Ok(LeastPoint { x, residuals, jacobian: jacobian.clone(), iterations, settled })
        };
        let sum = sum_of_squares(&residuals);
        loop {
            let (next, promised) = steps.next(damping_ratio);
            let moved = next.iter().zip(&x).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
            let size = 1.0 + x.iter().map(|v| v * v).sum::<f64>().sqrt();
            // A heavily damped step promises little wherever it is.
            let worthless = promised <= options.reduction_ratio * sum && damping_ratio <= 1e-3;
            // Written so that a step that is not a number ends the search too.
            let moves = moved > options.step_ratio * size;
            if worthless || !moves {
                return found(x, residuals, true);
            }
            let answer = problem.residuals(&next);
            let fallen = answer.as_ref().map_or(f64::NAN, |r| sum - sum_of_squares(r));
            match answer {
                Some(next_residuals) if fallen > 1e-4 * promised => {
                    if iterations >= options.iterations {
                        return found(x, residuals, false);
                    }
                    damping_ratio *= if fallen > 0.75 * promised { 0.1 } else { 0.5 };
                    // Below, the damping is lost in the rounding of the squares.
                    damping_ratio = damping_ratio.max(1e-18);
                    growth = 2.0;
                    (x, residuals) = (next, next_residuals);
                    problem.accepted(&x);
                    break;
                }
                _ => {
                    damping_ratio *= growth;
                    growth *= 2.0;
                }
            }
        }
    }
}

fn lost(place: &str) -> Error {
    Error::new(ErrorKind::NotConverged {
        stage: format!("least squares: the model has no answer at {place}"),
        iterations: 0,
        residual: f64::INFINITY,
        worst: "the model".to_owned(),
    })
}

fn sum_of_squares(residuals: &[f64]) -> f64 {
    residuals.iter().map(|r| r * r).sum()
}

/// Every damped step from one point.
struct Steps<'a> {
    x: &'a [f64],
    ranges: &'a [(f64, f64)],
    jacobian: DMatrix<f64>,
    residuals: DVector<f64>,
    /// Rows are the right singular vectors.
    directions: DMatrix<f64>,
    singular: DVector<f64>,
    /// The residuals along the left singular vectors.
    along: DVector<f64>,
}

impl<'a> Steps<'a> {
    fn new(jacobian: &[f64], residuals: &[f64], x: &'a [f64], ranges: &'a [(f64, f64)]) -> Self {
        let mut jacobian = DMatrix::from_row_slice(residuals.len(), x.len(), jacobian);
        let residuals = DVector::from_column_slice(residuals);
        let downhill = -jacobian.tr_mul(&residuals);
        for (at, (low, high)) in ranges.iter().enumerate() {
            if (x[at] <= *low && downhill[at] < 0.0) || (x[at] >= *high && downhill[at] > 0.0) {
                jacobian.column_mut(at).fill(0.0);
            }
        }
        let parts = jacobian.clone().svd(true, true);
        let left = parts.u.expect("left vectors were asked for");
        let directions = parts.v_t.expect("right vectors were asked for");
        let along = left.tr_mul(&residuals);
        let singular = parts.singular_values;
        Self { x, ranges, jacobian, residuals, directions, singular, along }
    }

    /// The next point at a damping, and by how much the linear model says it lowers the sum.
    fn next(&self, damping_ratio: f64) -> (Vec<f64>, f64) {
        let damping = damping_ratio * self.singular.max().powi(2);
        let shares = DVector::from_iterator(
            self.singular.len(),
            self.singular.iter().zip(&self.along).map(|(s, r)| -r * s / (s * s + damping)),
        );
        let step = self.directions.tr_mul(&shares);
        let within = |(at, v): (usize, &f64)| {
            let (low, high) = self.ranges[at];
            (v + step[at]).max(low).min(high)
        };
        let next: Vec<f64> = self.x.iter().enumerate().map(within).collect();
        let taken = DVector::from_iterator(next.len(), next.iter().zip(self.x).map(|(a, b)| a - b));
        let promised = self.residuals.norm_squared()
            - (&self.residuals + &self.jacobian * taken).norm_squared();
        (next, promised)
    }
}
