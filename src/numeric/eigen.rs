use nalgebra::DMatrix;
use num_complex::Complex64;

/// Eigenvalues of a row-major square matrix, largest magnitude first.
///
/// Ties (conjugate pairs) come with the positive imaginary part first, so that the order is
/// the same on every run. `None` when the iteration did not settle or an entry is not finite.
#[must_use]
pub fn eigenvalues(n: usize, a: &[f64]) -> Option<Vec<Complex64>> {
    if n == 0 {
        return Some(Vec::new());
    }
    if a.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let matrix = DMatrix::from_row_slice(n, n, a);
    let schur = nalgebra::linalg::Schur::try_new(matrix, f64::EPSILON, 10_000)?;
    let mut values: Vec<Complex64> =
        schur.complex_eigenvalues().iter().map(|z| Complex64::new(z.re, z.im)).collect();
    values.sort_by(|p, q| {
        q.norm().total_cmp(&p.norm()).then(q.im.total_cmp(&p.im)).then(q.re.total_cmp(&p.re))
    });
    Some(values)
}
