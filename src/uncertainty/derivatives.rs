//! Numeric derivatives of a model at its inputs, in steps that follow their uncertainties.

use super::Input;

/// Step of the first derivative, as a share of the input's standard uncertainty.
const FIRST_STEP_RATIO: f64 = 0.05;
/// Step of the second and third derivatives: they lose more digits to rounding.
const HIGHER_STEP_RATIO: f64 = 0.2;

/// Sensitivity coefficients ∂f/∂xᵢ at the estimates.
///
/// # Formula
/// Five points: (8[f(x+h) − f(x−h)] − [f(x+2h) − f(x−2h)])/12h, h = 0.05 u; the error is of order h⁴.
/// An input without uncertainty gets h = 10⁻⁴ |x| (10⁻⁴ at zero).
pub(super) fn first(inputs: &[Input], model: &dyn Fn(&[f64]) -> f64) -> Vec<f64> {
    let mut at = values(inputs);
    (0..inputs.len())
        .map(|i| {
            let h = step(&inputs[i], FIRST_STEP_RATIO);
            let near = shifted(&mut at, i, h, model) - shifted(&mut at, i, -h, model);
            let far = shifted(&mut at, i, 2.0 * h, model) - shifted(&mut at, i, -2.0 * h, model);
            (8.0 * near - far) / (12.0 * h)
        })
        .collect()
}

/// Variance that the first order of the law of propagation leaves out, for independent inputs.
///
/// # Formula
/// Σᵢⱼ [½ fᵢⱼ² + fᵢ fᵢⱼⱼ] uᵢ² uⱼ², derivatives by central differences with h = 0.2 u
///
/// # Source
/// JCGM 100:2008, 5.1.2, note.
pub(super) fn second_order_variance(
    inputs: &[Input],
    first: &[f64],
    model: &dyn Fn(&[f64]) -> f64,
) -> f64 {
    let mut at = values(inputs);
    let centre = model(&at);
    let u = |i: usize| inputs[i].estimate.standard_uncertainty;
    let uncertain: Vec<usize> = (0..inputs.len()).filter(|i| u(*i) > 0.0).collect();
    let mut variance = 0.0;
    for &i in &uncertain {
        for &j in &uncertain {
            let (hi, hj) = (HIGHER_STEP_RATIO * u(i), HIGHER_STEP_RATIO * u(j));
            let (second, third) = if i == j {
                let [far_low, low, high, far_high] =
                    [-2.0, -1.0, 1.0, 2.0].map(|steps| shifted(&mut at, i, steps * hi, model));
                (
                    (high - 2.0 * centre + low) / (hi * hi),
                    (far_high - 2.0 * high + 2.0 * low - far_low) / (2.0 * hi.powi(3)),
                )
            } else {
                let mut both = |a: f64, b: f64| {
                    let (xi, xj) = (at[i], at[j]);
                    at[i] += a * hi;
                    at[j] += b * hj;
                    let y = model(&at);
                    (at[i], at[j]) = (xi, xj);
                    y
                };
                let [pp, pm, mp, mm] =
                    [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)].map(|(a, b)| both(a, b));
                let (p0, m0) = (both(1.0, 0.0), both(-1.0, 0.0));
                (
                    (pp - pm - mp + mm) / (4.0 * hi * hj),
                    ((pp - 2.0 * p0 + pm) - (mp - 2.0 * m0 + mm)) / (2.0 * hi * hj * hj),
                )
            };
            variance += (0.5 * second * second + first[i] * third) * (u(i) * u(j)).powi(2);
        }
    }
    variance
}

fn values(inputs: &[Input]) -> Vec<f64> {
    inputs.iter().map(|input| input.estimate.value).collect()
}

fn step(input: &Input, ratio: f64) -> f64 {
    let u = input.estimate.standard_uncertainty;
    if u > 0.0 {
        return ratio * u;
    }
    let size = input.estimate.value.abs();
    1e-4 * if size > 0.0 { size } else { 1.0 }
}

fn shifted(at: &mut [f64], i: usize, by: f64, model: &dyn Fn(&[f64]) -> f64) -> f64 {
    let before = at[i];
    at[i] += by;
    let y = model(at);
    at[i] = before;
    y
}
