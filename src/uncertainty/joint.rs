use crate::error::{Bounds, Error, Result};

use super::Correlations;

/// Several quantities known together: values, covariances and their common degrees of freedom.
///
/// For quantities read at the same time, or computed from the same inputs; a single result with
/// independent inputs is a [`Budget`](super::Budget).
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    values: Vec<f64>,
    /// Row-major.
    covariance: Vec<f64>,
    degrees_of_freedom: f64,
}

impl Joint {
    /// Type A: the means of quantities read together, one row of readings for each quantity.
    ///
    /// # Formula
    /// u(x̄ᵢ, x̄ⱼ) = Σₖ(xᵢₖ − x̄ᵢ)(xⱼₖ − x̄ⱼ)/(n(n − 1))
    ///
    /// # Errors
    /// `Inconsistent` for fewer than two readings or rows of unequal length; `OutOfRange` for a
    /// reading that is not a number.
    ///
    /// # Source
    /// JCGM 100:2008, 5.2.3, equation 17.
    pub fn from_readings(rows: &[&[f64]]) -> Result<Self> {
        let n = rows.first().map_or(0, |row| row.len());
        if n < 2 || rows.iter().any(|row| row.len() != n) {
            return Err(Error::inconsistent(
                "quantities read together need at least two readings each, and equally many",
            ));
        }
        let finite = Bounds::new("reading", "", f64::MIN, f64::MAX);
        for reading in rows.iter().flat_map(|row| row.iter()) {
            finite.check(*reading)?;
        }
        let values: Vec<f64> = rows.iter().map(|row| row.iter().sum::<f64>() / n as f64).collect();
        let m = rows.len();
        let product = |i: usize, j: usize| -> f64 {
            let pairs = rows[i].iter().zip(rows[j]);
            pairs.map(|(a, b)| (a - values[i]) * (b - values[j])).sum()
        };
        let scale = (n * (n - 1)) as f64;
        let covariance = (0..m * m).map(|k| product(k / m, k % m) / scale).collect();
        Ok(Self { values, covariance, degrees_of_freedom: (n - 1) as f64 })
    }

    /// The quantities computed from these, to first order.
    ///
    /// # Formula
    /// V_y = J V_x Jᵀ, J by five-point differences
    ///
    /// # Errors
    /// `Inconsistent` when a derivative is not a number.
    ///
    /// # Source
    /// JCGM 102:2011, 6.2.1.
    pub fn propagate(&self, model: impl Fn(&[f64]) -> Vec<f64>) -> Result<Self> {
        let n = self.values.len();
        let values = model(&self.values);
        let m = values.len();
        let mut at = self.values.clone();
        let mut jacobian = vec![0.0; m * n];
        for column in 0..n {
            let u = self.standard_uncertainty(column).unwrap_or(0.0);
            let size = at[column].abs();
            let h = if u > 0.0 { 0.05 * u } else { 1e-4 * if size > 0.0 { size } else { 1.0 } };
            for (steps, weight) in [(1.0, 8.0), (-1.0, -8.0), (2.0, -1.0), (-2.0, 1.0)] {
                at[column] = self.values[column] + steps * h;
                for (row, y) in model(&at).iter().take(m).enumerate() {
                    jacobian[row * n + column] += weight * y / (12.0 * h);
                }
            }
            at[column] = self.values[column];
        }
        if jacobian.iter().chain(&values).any(|entry| !entry.is_finite()) {
            return Err(Error::inconsistent("a derivative of the model is not a number"));
        }
        let entry = |row: usize, column: usize| -> f64 {
            (0..n * n)
                .map(|k| {
                    let (i, j) = (k / n, k % n);
                    jacobian[row * n + i] * self.covariance[k] * jacobian[column * n + j]
                })
                .sum()
        };
        let covariance = (0..m * m).map(|k| entry(k / m, k % m)).collect();
        Ok(Self { values, covariance, degrees_of_freedom: self.degrees_of_freedom })
    }

    /// The values, in the order given.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Common degrees of freedom.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> f64 {
        self.degrees_of_freedom
    }

    /// Standard uncertainty of a quantity.
    #[must_use]
    pub fn standard_uncertainty(&self, quantity: usize) -> Option<f64> {
        let n = self.values.len();
        (quantity < n).then(|| self.covariance[quantity * (n + 1)].max(0.0).sqrt())
    }

    /// Correlation coefficient of a pair; `None` when one of the two has no uncertainty.
    #[must_use]
    pub fn correlation(&self, one: usize, other: usize) -> Option<f64> {
        let scale = self.standard_uncertainty(one)? * self.standard_uncertainty(other)?;
        let covariance = self.covariance[one * self.values.len() + other];
        (scale > 0.0).then(|| (covariance / scale).clamp(-1.0, 1.0))
    }

    /// All correlation coefficients, as a budget takes them.
    ///
    /// # Errors
    /// `Inconsistent` when a quantity has no uncertainty.
    pub fn correlations(&self) -> Result<Correlations> {
        let n = self.values.len();
        let coefficients = (0..n * n)
            .map(|k| if k / n == k % n { Some(1.0) } else { self.correlation(k / n, k % n) })
            .collect::<Option<Vec<f64>>>()
            .ok_or_else(|| {
                Error::inconsistent("a quantity without uncertainty is correlated with nothing")
            })?;
        Correlations::from_matrix(n, coefficients)
    }
}
