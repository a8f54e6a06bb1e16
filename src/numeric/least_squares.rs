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
        Self { iterations: 60, reduction_ratio: 1e-10, step_ratio: 1e-9 }
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
/// # Formula
/// (JᵀJ + μD²) δ = −Jᵀr with D the largest length so far of each column of J, solved by singular
/// values of J D⁻¹; μ falls by at least a third after a step that does what the linear model
/// promised, and rises faster and faster after steps that fail.
///
/// # Errors
/// `NotConverged` when the start itself has no answer, or its neighbourhood has none.
///
/// # Source
/// K. Levenberg (1944), D. Marquardt (1963); rule for μ: H. B. Nielsen, IMM-REP-1999-05 (from
/// memory).
pub fn least_squares(
    problem: &mut dyn LeastSquares,
    start: &[f64],
    options: &SearchOptions,
) -> Result<LeastPoint> {
    let mut x = start.to_vec();
    let lost = |what: &str| {
        Error::new(ErrorKind::NotConverged {
            stage: format!("least squares: the model has no answer at {what}"),
            iterations: 0,
            residual: f64::INFINITY,
            worst: "the model".to_owned(),
        })
    };
    let mut residuals = problem.residuals(&x).ok_or_else(|| lost("the start"))?;
    problem.accepted(&x);
    let mut lengths = vec![0.0_f64; x.len()];
    let (mut damping, mut growth) = (1e-3, 2.0);
    let mut iterations = 0;
    loop {
        let jacobian = problem.jacobian(&x).ok_or_else(|| lost("a neighbour"))?;
        iterations += 1;
        let steps = Steps::new(&jacobian, &residuals, &mut lengths);
        let found = |x, residuals, settled| {
            Ok(LeastPoint { x, residuals, jacobian: jacobian.clone(), iterations, settled })
        };
        let sum: f64 = residuals.iter().map(|r| r * r).sum();
        loop {
            let (step, promised) = steps.step(damping);
            let length = step.iter().map(|d| d * d).sum::<f64>().sqrt();
            let size = 1.0 + x.iter().map(|v| v * v).sum::<f64>().sqrt();
            // A heavily damped step promises little wherever it is.
            let worthless = promised <= options.reduction_ratio * sum && damping <= 1.0;
            // Written so that a step that is not a number ends the search too.
            let moves = length > options.step_ratio * size;
            if worthless || !moves {
                return found(x, residuals, true);
            }
            let next: Vec<f64> = x.iter().zip(&step).map(|(v, d)| v + d).collect();
            let answer = problem.residuals(&next).map(|r| (r.iter().map(|v| v * v).sum::<f64>(), r));
            match answer {
                Some((next_sum, next_residuals)) if sum - next_sum > 1e-4 * promised => {
                    let gain = (sum - next_sum) / promised;
                    damping *= f64::max(1.0 / 3.0, 1.0 - (2.0 * gain - 1.0).powi(3));
                    growth = 2.0;
                    if iterations >= options.iterations {
                        return found(x, residuals, false);
                    }
                    (x, residuals) = (next, next_residuals);
                    problem.accepted(&x);
                    break;
                }
                _ => {
                    damping *= growth;
                    growth *= 2.0;
                }
            }
        }
    }
}

/// Every damped step from one point.
struct Steps {
    lengths: Vec<f64>,
    /// Rows are the right singular vectors of the scaled derivatives.
    directions: DMatrix<f64>,
    singular: DVector<f64>,
    /// The residuals along the left singular vectors.
    along: DVector<f64>,
}

impl Steps {
    fn new(jacobian: &[f64], residuals: &[f64], lengths: &mut [f64]) -> Self {
        let (rows, columns) = (residuals.len(), lengths.len());
        let mut scaled = DMatrix::from_row_slice(rows, columns, jacobian);
        for (at, length) in lengths.iter_mut().enumerate() {
            *length = length.max(scaled.column(at).norm()).max(f64::MIN_POSITIVE);
            scaled.column_mut(at).unscale_mut(*length);
        }
        let parts = scaled.svd(true, true);
        let left = parts.u.expect("left vectors were asked for");
        let directions = parts.v_t.expect("right vectors were asked for");
        let along = left.tr_mul(&DVector::from_column_slice(residuals));
        Self { lengths: lengths.to_vec(), directions, singular: parts.singular_values, along }
    }

    /// The step at a damping, and by how much the linear model says it lowers the sum.
    fn step(&self, damping: f64) -> (Vec<f64>, f64) {
        let mut promised = 0.0;
        let shares = DVector::from_iterator(
            self.singular.len(),
            self.singular.iter().zip(&self.along).map(|(s, r)| {
                let kept = s * s / (s * s + damping);
                promised += r * r * kept * (2.0 - kept);
                -r * s / (s * s + damping)
            }),
        );
        let scaled = self.directions.tr_mul(&shares);
        (scaled.iter().zip(&self.lengths).map(|(d, length)| d / length).collect(), promised)
    }
}
