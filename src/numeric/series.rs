//! Truncated power series as plain coefficient slices: products and roots of polynomials.

/// Coefficient `k` of the product of two series whose first `k + 1` coefficients are known.
#[inline]
pub(crate) fn product_coefficient(a: &[f64], b: &[f64], k: usize) -> f64 {
    a[..=k].iter().zip(b[..=k].iter().rev()).map(|(p, q)| p * q).sum()
}

/// Coefficient `k` of the square of a series: half the work of a product.
#[inline]
pub(crate) fn square_coefficient(a: &[f64], k: usize) -> f64 {
    let half = k.div_ceil(2);
    let pairs: f64 =
        a[..half].iter().zip(a[..=k].iter().rev()).map(|(p, q)| p * q).sum::<f64>() * 2.0;
    if k.is_multiple_of(2) { a[k / 2].mul_add(a[k / 2], pairs) } else { pairs }
}

/// Value of the polynomial.
#[inline]
pub(crate) fn value(coefficients: &[f64], tau: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * tau + c)
}

/// Values of the polynomial at eight arguments.
#[inline]
pub(crate) fn values(coefficients: &[f64], taus: [f64; 8]) -> [f64; 8] {
    let mut sums = [0.0; 8];
    for c in coefficients.iter().rev() {
        for (sum, tau) in sums.iter_mut().zip(&taus) {
            *sum = *sum * tau + c;
        }
    }
    sums
}

/// Value and slope of the polynomial.
#[inline]
pub(crate) fn value_and_slope(coefficients: &[f64], tau: f64) -> (f64, f64) {
    coefficients.iter().rev().fold((0.0, 0.0), |(sum, slope), c| (sum * tau + c, slope * tau + sum))
}

/// Where the polynomial leaves the side it is on, between `low` (on `side`) and `high` (beyond).
///
/// Newton steps guarded by bisection. The value at `low` is never asked: it may be rounding noise
/// around a zero that was just passed.
pub(crate) fn crossing(coefficients: &[f64], side: f64, low: f64, high: f64) -> f64 {
    let (mut inside, mut beyond) = (low, high);
    let mut tau = high;
    for _ in 0..80 {
        let (g, slope) = value_and_slope(coefficients, tau);
        if g * side > 0.0 {
            inside = tau;
        } else {
            beyond = tau;
        }
        let next = tau - g / slope;
        // A Newton step that leaves the bracket, or is not a number, becomes a bisection.
        let next = if next > inside && next < beyond { next } else { 0.5 * (inside + beyond) };
        if (next - tau).abs() <= 4.0 * f64::EPSILON * high || beyond - inside <= f64::EPSILON * high
        {
            return next;
        }
        tau = next;
    }
    tau
}
