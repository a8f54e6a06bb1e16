use crate::error::Result;
use crate::numeric::{LeastSquares, NormalMatrix, least_squares};

use super::problem::{OWN, Problem};
use super::{FitOptions, Fitted, FittedCapture, Observation, Parameter, Prediction};

/// A capture that was not used, predicted by a fitted regulator.
///
/// # Formula
/// expected² = noise² (2H − 2) + Σ diag(J C Jᵀ), with J the derivatives of its lines by the free
/// values, held current and shift taken out, and C the covariance of the fit.
///
/// # Errors
/// `Inconsistent` when the capture is out of reach of the fitted regulator; `NotConverged` when held
/// current and shift are not found.
pub fn predict(
    fitted: &Fitted,
    observation: &Observation,
    options: &FitOptions,
) -> Result<Prediction> {
    let seen = std::slice::from_ref(observation);
    let noise_a = observation.lines.noise_a;
    let unit_a = noise_a.unwrap_or(1.0);
    let mut own = Problem::new(&fitted.regulator, &[], seen, vec![unit_a]);
    let begin = own.start()?;
    let least = least_squares(&mut own, &begin, &options.search)?;
    let capture = FittedCapture::new(&own, &least.x, 0, observation)?;
    let free: Vec<Parameter> = fitted.estimates.iter().map(|own| own.parameter).collect();
    let mut whole = Problem::new(&fitted.regulator, &free, seen, vec![unit_a]);
    let mut x = vec![0.0; free.len()];
    x.extend_from_slice(&least.x);
    let from_values = match (&fitted.covariance, whole.jacobian(&x)) {
        (Some(covariance), Some(jacobian)) => {
            let normal = NormalMatrix::new(&jacobian, whole.unknowns(), OWN);
            Some(unit_a * unit_a * spread(&normal, covariance))
        }
        _ => None,
    };
    let expected_rms_a = noise_a.zip(from_values).map(|(noise_a, from_values)| {
        (noise_a * noise_a * (2 * capture.orders - OWN) as f64 + from_values).sqrt()
    });
    let difference = |(measured, predicted): (Option<f64>, Option<f64>)| {
        predicted.zip(measured).map(|(predicted, measured)| predicted - measured)
    };
    Ok(Prediction {
        expected_rms_a,
        surprise_ratio: expected_rms_a.map(|expected_a| capture.residual_rms_a / expected_a),
        crest_factor_error: difference(capture.crest_factors()),
        average_error_shift_ratio: difference(capture.average_error_ratios()),
        capture,
    })
}

/// Trace of J C Jᵀ = Σ sₖ² vₖᵀ C vₖ.
fn spread(normal: &NormalMatrix, covariance: &[f64]) -> f64 {
    let n = normal.directions.len();
    let along =
        |v: &[f64]| -> f64 { (0..n * n).map(|at| v[at / n] * covariance[at] * v[at % n]).sum() };
    normal.singular_values.iter().zip(&normal.directions).map(|(s, v)| s * s * along(v)).sum()
}
