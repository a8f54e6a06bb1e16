use nalgebra::DMatrix;

/// What derivatives of weighted residuals say about the parameters behind them.
///
/// With residuals in units of their standard uncertainty, everything here is in units of the
/// parameters.
#[derive(Clone, Debug, PartialEq)]
pub struct NormalMatrix {
    /// How strongly the residuals depend on each direction, largest first.
    pub singular_values: Vec<f64>,
    /// The directions, unit vectors in the space of the parameters, in the same order.
    pub directions: Vec<Vec<f64>>,
}

impl NormalMatrix {
    /// A direction this much weaker than the strongest is not seen at all: derivatives by differences
    /// are no better than that.
    pub const UNSEEN_RATIO: f64 = 1e-9;

    /// From row-major derivatives, the trailing `nuisances` columns being parameters of no interest:
    /// what they can explain is taken out first.
    ///
    /// # Formula
    /// J₁ − Q Qᵀ J₁ with Q an orthonormal base of the nuisance columns, then its singular values.
    #[must_use]
    pub fn new(jacobian: &[f64], columns: usize, nuisances: usize) -> Self {
        let rows = jacobian.len() / columns.max(1);
        let all = DMatrix::from_row_slice(rows, columns, jacobian);
        let kept = columns - nuisances;
        let mut wanted = all.columns(0, kept).into_owned();
        if nuisances > 0 {
            let base = all.columns(kept, nuisances).into_owned().qr().q();
            let explained = &base * base.tr_mul(&wanted);
            wanted -= explained;
        }
        if kept == 0 {
            return Self { singular_values: Vec::new(), directions: Vec::new() };
        }
        let parts = wanted.svd(false, true);
        let right = parts.v_t.expect("right vectors were asked for");
        let mut order: Vec<usize> = (0..parts.singular_values.len()).collect();
        order.sort_by(|a, b| parts.singular_values[*b].total_cmp(&parts.singular_values[*a]));
        let direction = |at: &usize| {
            let row: Vec<f64> = right.row(*at).iter().copied().collect();
            // The largest part is positive: the sign of a singular vector means nothing.
            let largest =
                row.iter().copied().fold(0.0, |m: f64, v| if v.abs() > m.abs() { v } else { m });
            row.iter().map(|v| v * largest.signum()).collect()
        };
        Self {
            singular_values: order.iter().map(|at| parts.singular_values[*at]).collect(),
            directions: order.iter().map(direction).collect(),
        }
    }

    /// Standard uncertainty of each direction; `None` for one that is not seen.
    #[must_use]
    pub fn uncertainties(&self) -> Vec<Option<f64>> {
        let strongest = self.singular_values.first().copied().unwrap_or(0.0);
        let seen = |s: &f64| *s > Self::UNSEEN_RATIO * strongest && *s > 0.0;
        self.singular_values.iter().map(|s| seen(s).then(|| 1.0 / s)).collect()
    }

    /// The covariance of the parameters, row-major; `None` when a direction is not seen.
    ///
    /// # Formula
    /// C = Σ vₖ vₖᵀ / sₖ²
    #[must_use]
    pub fn covariance(&self) -> Option<Vec<f64>> {
        let n = self.directions.len();
        let mut covariance = vec![0.0; n * n];
        for (direction, uncertainty) in self.directions.iter().zip(self.uncertainties()) {
            let variance = uncertainty?.powi(2);
            for (row, v) in direction.iter().enumerate() {
                for (column, w) in direction.iter().enumerate() {
                    covariance[row * n + column] += variance * v * w;
                }
            }
        }
        Some(covariance)
    }
}
