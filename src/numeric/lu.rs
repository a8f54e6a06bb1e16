use crate::error::{Error, ErrorKind, Result};

/// A square matrix factored into lower and upper triangle with row exchanges.
///
/// For systems of up to a few dozen unknowns: networks and shooting equations.
///
/// # Example
/// ```
/// use loopcrest::numeric::Lu;
/// let lu = Lu::factor(2, vec![0.0, 2.0, 4.0, 1.0]).unwrap();
/// let mut x = vec![2.0, 9.0];
/// lu.solve_in_place(&mut x);
/// assert_eq!(x, vec![2.0, 1.0]);
/// ```
#[derive(Clone, Debug)]
pub struct Lu {
    n: usize,
    factors: Vec<f64>,
    order: Vec<usize>,
}

impl Lu {
    /// A pivot smaller than this share of the largest entry of its row, as the row was given,
    /// counts as zero. Networks mix ohms and siemens, hence row by row.
    const SMALLEST_PIVOT_RATIO: f64 = 1e-13;

    /// Factors a row-major square matrix.
    ///
    /// # Errors
    /// `NotConverged` when the matrix is singular; `worst` names the column, counted from 0.
    pub fn factor(n: usize, mut a: Vec<f64>) -> Result<Self> {
        assert_eq!(a.len(), n * n, "a square matrix has n² entries");
        let row_scale: Vec<f64> =
            a.chunks(n.max(1)).map(|row| row.iter().fold(0.0_f64, |m, v| m.max(v.abs()))).collect();
        let mut order: Vec<usize> = (0..n).collect();
        for k in 0..n {
            let scaled = |row: usize, order: &[usize]| {
                let scale = row_scale[order[row]];
                if scale > 0.0 { a[row * n + k].abs() / scale } else { 0.0 }
            };
            let best =
                (k..n).fold(
                    k,
                    |best, row| {
                        if scaled(row, &order) > scaled(best, &order) { row } else { best }
                    },
                );
            let pivot_ratio = scaled(best, &order);
            // Written so that a NaN pivot is refused as well.
            if pivot_ratio.is_nan() || pivot_ratio <= Self::SMALLEST_PIVOT_RATIO {
                return Err(Self::singular(k, pivot_ratio));
            }
            if best != k {
                order.swap(best, k);
                for column in 0..n {
                    a.swap(best * n + column, k * n + column);
                }
            }
            let pivot = a[k * n + k];
            for row in k + 1..n {
                let factor = a[row * n + k] / pivot;
                a[row * n + k] = factor;
                if factor != 0.0 {
                    for column in k + 1..n {
                        a[row * n + column] -= factor * a[k * n + column];
                    }
                }
            }
        }
        Ok(Self { n, factors: a, order })
    }

    /// Replaces the right-hand side by the solution.
    pub fn solve_in_place(&self, b: &mut [f64]) {
        let n = self.n;
        let mut x: Vec<f64> = self.order.iter().map(|row| b[*row]).collect();
        for row in 0..n {
            let sum: f64 = (0..row).map(|c| self.factors[row * n + c] * x[c]).sum();
            x[row] -= sum;
        }
        for row in (0..n).rev() {
            let sum: f64 = (row + 1..n).map(|c| self.factors[row * n + c] * x[c]).sum();
            x[row] = (x[row] - sum) / self.factors[row * n + row];
        }
        b.copy_from_slice(&x);
    }

    /// Sign of the determinant: changes where a path passes a fold.
    #[must_use]
    pub fn determinant_sign(&self) -> f64 {
        let mut seen = vec![false; self.n];
        let mut sign = 1.0;
        for start in 0..self.n {
            let (mut at, mut length) = (start, 0_usize);
            while !seen[at] {
                seen[at] = true;
                at = self.order[at];
                length += 1;
            }
            if length > 0 && length.is_multiple_of(2) {
                sign = -sign;
            }
            sign *= self.factors[start * self.n + start].signum();
        }
        sign
    }

    fn singular(column: usize, pivot_ratio: f64) -> Error {
        Error::new(ErrorKind::NotConverged {
            stage: "solving linear equations".to_owned(),
            iterations: column,
            residual: pivot_ratio,
            worst: format!("column {column}"),
        })
    }
}
