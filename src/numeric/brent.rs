use crate::error::{Error, ErrorKind, Result};

/// A root of a continuous function between two arguments at which its signs differ.
///
/// Secant and inverse quadratic steps guarded by bisection: never leaves the bracket. Ends when
/// the bracket is narrower than `x_tolerance`.
///
/// # Errors
/// `Inconsistent` when both ends have the same sign or a value is not a number; `NotConverged`
/// after 200 steps; whatever the function itself returns.
///
/// # Source
/// R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4 (the idea; the
/// code is ours).
pub fn root_between(
    mut f: impl FnMut(f64) -> Result<f64>,
    low: f64,
    high: f64,
    x_tolerance: f64,
) -> Result<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a)?, f(b)?);
    if fa == 0.0 {
        return Ok(a);
    }
    // Written so that a NaN at either end is refused as well.
    if (fa * fb).partial_cmp(&0.0).is_none_or(std::cmp::Ordering::is_gt) {
        return Err(Error::inconsistent(format!(
            "no change of sign between {low} and {high}: {fa:.3e} and {fb:.3e}"
        )));
    }
    let (mut c, mut fc) = (a, fa);
    let (mut step, mut before) = (b - a, b - a);
    for _ in 0..200 {
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + 0.5 * x_tolerance;
        let middle = 0.5 * (c - b);
        if middle.abs() <= tolerance || fb == 0.0 {
            return Ok(b);
        }
        if before.abs() >= tolerance && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if (a - c).abs() == 0.0 {
                (2.0 * middle * s, 1.0 - s)
            } else {
                let (q0, r) = (fa / fc, fb / fc);
                (
                    s * (2.0 * middle * q0 * (q0 - r) - (b - a) * (r - 1.0)),
                    (q0 - 1.0) * (r - 1.0) * (s - 1.0),
                )
            };
            if p > 0.0 {
                q = -q;
            }
            p = p.abs();
            if 2.0 * p < (3.0 * middle * q - (tolerance * q).abs()).min((before * q).abs()) {
                (before, step) = (step, p / q);
            } else {
                (step, before) = (middle, middle);
            }
        } else {
            (step, before) = (middle, middle);
        }
        (a, fa) = (b, fb);
        b += if step.abs() > tolerance { step } else { tolerance.copysign(middle) };
        fb = f(b)?;
    }
    Err(Error::new(ErrorKind::NotConverged {
        stage: "finding a root in a bracket".to_owned(),
        iterations: 200,
        residual: fb,
        worst: format!("argument {b}"),
    }))
}
