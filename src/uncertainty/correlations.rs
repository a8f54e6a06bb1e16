use crate::error::{Bounds, Error, Result};

/// The correlation coefficients between the inputs of a budget.
#[derive(Clone, Debug, PartialEq)]
pub struct Correlations {
    n: usize,
    /// Row-major, symmetric, ones on the diagonal.
    coefficients: Vec<f64>,
}

impl Correlations {
    /// A correlation coefficient.
    pub const COEFFICIENT: Bounds = Bounds::new("correlation coefficient", "", -1.0, 1.0);
    /// A pivot smaller than this counts as zero: fully correlated inputs leave only rounding.
    const SMALLEST_PIVOT: f64 = 1e-12;

    /// `n` independent inputs.
    #[must_use]
    pub fn none(n: usize) -> Self {
        let coefficients = (0..n * n).map(|k| f64::from(u8::from(k / n == k % n))).collect();
        Self { n, coefficients }
    }

    /// From a full row-major matrix.
    ///
    /// # Errors
    /// `Inconsistent` when it is not square or not symmetric with ones on its diagonal, or when no
    /// quantities can be correlated like that; `OutOfRange` for a coefficient beyond ±1.
    pub fn from_matrix(n: usize, coefficients: Vec<f64>) -> Result<Self> {
        if coefficients.len() != n * n {
            return Err(Error::inconsistent(format!(
                "a correlation matrix of {n} quantities has {} entries, not {}",
                n * n,
                coefficients.len()
            )));
        }
        for (k, coefficient) in coefficients.iter().enumerate() {
            Self::COEFFICIENT.check(*coefficient)?;
            let mirrored = coefficients[k % n * n + k / n];
            let diagonal_off = k / n == k % n && (coefficient - 1.0).abs() > 1e-12;
            if (coefficient - mirrored).abs() > 1e-12 || diagonal_off {
                return Err(Error::inconsistent(
                    "a correlation matrix is symmetric and has ones on its diagonal",
                ));
            }
        }
        let all = Self { n, coefficients };
        all.triangle()?;
        Ok(all)
    }

    /// The same with one pair correlated.
    ///
    /// Pairs are checked one by one: three that are possible only together go through
    /// [`Self::from_matrix`].
    ///
    /// # Errors
    /// `OutOfRange` for a coefficient beyond ±1; `Inconsistent` for inputs that do not exist, for an
    /// input with itself, or when no quantities can be correlated like that.
    pub fn with(mut self, one: usize, other: usize, coefficient: f64) -> Result<Self> {
        Self::COEFFICIENT.check(coefficient)?;
        if one >= self.n || other >= self.n || one == other {
            return Err(Error::inconsistent(format!(
                "inputs {one} and {other} of {} cannot be correlated",
                self.n
            )));
        }
        self.coefficients[one * self.n + other] = coefficient;
        self.coefficients[other * self.n + one] = coefficient;
        self.triangle()?;
        Ok(self)
    }

    /// How many inputs.
    #[must_use]
    pub fn len(&self) -> usize {
        self.n
    }

    /// Whether there is no input at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.n == 0
    }

    /// The coefficient of a pair.
    #[must_use]
    pub fn between(&self, one: usize, other: usize) -> Option<f64> {
        (one < self.n && other < self.n).then(|| self.coefficients[one * self.n + other])
    }

    /// Whether an input is correlated with any other.
    #[must_use]
    pub fn involves(&self, input: usize) -> bool {
        input < self.n
            && (0..self.n)
                .any(|other| other != input && self.coefficients[input * self.n + other] != 0.0)
    }

    /// Whether any pair is correlated.
    #[must_use]
    pub fn any(&self) -> bool {
        (0..self.n).any(|input| self.involves(input))
    }

    /// Σᵢⱼ rᵢⱼ partᵢ partⱼ: the variance of a sum whose parts are so correlated.
    pub(super) fn combine(&self, parts: &[f64]) -> f64 {
        let row = |i: usize| -> f64 {
            parts.iter().enumerate().map(|(j, part)| self.coefficients[i * self.n + j] * part).sum()
        };
        // Rounding may leave a hair below zero where full correlation cancels.
        parts.iter().enumerate().map(|(i, part)| part * row(i)).sum::<f64>().max(0.0)
    }

    /// The lower triangle L with L Lᵀ = the matrix: it turns independent draws into correlated ones.
    ///
    /// # Errors
    /// `Inconsistent` when the matrix has a negative eigenvalue.
    ///
    /// # Source
    /// Cholesky's factor; a zero pivot leaves a zero column, so full correlation is allowed.
    pub(super) fn triangle(&self) -> Result<Vec<f64>> {
        let n = self.n;
        let mut lower = vec![0.0; n * n];
        for column in 0..n {
            for row in column..n {
                let known: f64 =
                    (0..column).map(|k| lower[row * n + k] * lower[column * n + k]).sum();
                let left = self.coefficients[row * n + column] - known;
                let pivot = lower[column * n + column];
                if row == column {
                    if left < -Self::SMALLEST_PIVOT {
                        return Err(Self::impossible());
                    }
                    lower[row * n + row] =
                        if left > Self::SMALLEST_PIVOT { left.sqrt() } else { 0.0 };
                } else if pivot > 0.0 {
                    lower[row * n + column] = left / pivot;
                } else if left.abs() > 1e-6 {
                    return Err(Self::impossible());
                }
            }
        }
        Ok(lower)
    }

    fn impossible() -> Error {
        Error::inconsistent("no quantities can be correlated like that")
            .with_hint("if a goes with b and b with c, then a goes with c to some degree")
    }
}
