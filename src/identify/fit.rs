use crate::error::{Error, ErrorKind, Result};
use crate::numeric::{LeastPoint, NormalMatrix, least_squares};
use crate::regulator::ResonantRegulator;

use super::noise::Noise;
use super::notes::notes;
use super::problem::{OWN, Problem};
use super::{Answer, Estimate, FitOptions, Fitted, FittedCapture, Observation, Parameter, Told};

/// Residuals that chance makes as large less often than this are not explained by noise.
const LEAST_CHANCE_RATIO: f64 = 0.01;

/// Fits the free values of a regulator to captures at known loads.
///
/// The regulator given is where the search begins, and everything that is not free stays as it says.
///
/// # Formula
/// least Σ |predicted − measured line|² / noise² over the free values and, of each capture, the held
/// current and the shift in time; covariance (JᵀJ)⁻¹ with those two taken out. When the residuals are
/// larger than the noise explains (F-test, 1 %), every uncertainty is enlarged by √(reduced χ²).
///
/// # Errors
/// `Inconsistent` when nothing is observed or free, a value is free twice or begins at zero, a capture
/// is out of reach of the regulator to begin with, or there are more numbers than residuals;
/// `NotConverged` when the search does not settle although the captures tell every value.
pub fn fit(
    start: &ResonantRegulator,
    free: &[Parameter],
    observations: &[Observation],
    options: &FitOptions,
) -> Result<Fitted> {
    check(start, free, observations)?;
    let noise = Noise::of(observations);
    let mut problem = Problem::new(start, free, observations, noise.units_a.clone());
    let freedom = problem.residual_count().saturating_sub(problem.unknowns());
    if freedom == 0 {
        return Err(Error::inconsistent("there are more numbers to estimate than lines measured"));
    }
    let begin = problem.start()?;
    let least = least_squares(&mut problem, &begin, &options.search)?;
    let reduced = least.sum_of_squares() / freedom as f64;
    let chance_ratio = noise.chance_ratio(reduced, freedom);
    // Without known noise the residuals are the only witness of it.
    let enlarged = chance_ratio.is_none_or(|chance| chance < LEAST_CHANCE_RATIO);
    let enlargement_ratio = if enlarged { reduced.sqrt() } else { 1.0 };
    let nuisances = OWN * observations.len();
    let normal = NormalMatrix::new(&least.jacobian, problem.unknowns(), nuisances);
    let told = Told::new(free, &normal, enlargement_ratio, options.told_ratio);
    if !least.settled && told.is_complete() {
        return Err(not_settled(&least));
    }
    let covariance: Option<Vec<f64>> = normal
        .covariance()
        .map(|c| c.iter().map(|v| v * enlargement_ratio * enlargement_ratio).collect());
    let k = noise.coverage_factor(options.coverage_ratio, freedom);
    let regulator = problem.regulator_at(&least.x);
    let captures: Vec<FittedCapture> = observations
        .iter()
        .enumerate()
        .map(|(at, seen)| FittedCapture::new(&problem, &least.x, at, seen))
        .collect::<Result<_>>()?;
    let estimates = estimates(start, free, &least.x, covariance.as_deref(), k, options);
    let all_told = told.is_complete() && estimates.iter().all(|own| own.is_told);
    let answer = match chance_ratio {
        Some(chance) if chance < LEAST_CHANCE_RATIO => Answer::NotExplained,
        _ if !all_told => Answer::NotTold,
        Some(_) => Answer::Explained,
        None => Answer::NoiseUnknown,
    };
    let mut fitted = Fitted {
        estimates,
        correlation: covariance.as_deref().map(|c| correlation(c, free.len())),
        regulator,
        told,
        captures,
        freedom,
        reduced_chi_square: noise.freedom.map(|_| reduced),
        chance_ratio,
        enlargement_ratio,
        answer,
        iterations: least.iterations,
        notes: Vec::new(),
        covariance,
    };
    fitted.notes = notes(&fitted, &noise, &least);
    Ok(fitted)
}

fn check(start: &ResonantRegulator, free: &[Parameter], seen: &[Observation]) -> Result<()> {
    if seen.is_empty() {
        return Err(Error::inconsistent("there is no capture to fit to"));
    }
    if free.is_empty() {
        return Err(Error::inconsistent("no value is free, so there is nothing to fit"));
    }
    for (at, parameter) in free.iter().enumerate() {
        if free[..at].contains(parameter) {
            return Err(Error::inconsistent(format!("{} is free twice", parameter.key())));
        }
        parameter.check_start(start)?;
    }
    Ok(())
}

fn estimates(
    start: &ResonantRegulator,
    free: &[Parameter],
    x: &[f64],
    covariance: Option<&[f64]>,
    coverage_factor: f64,
    options: &FitOptions,
) -> Vec<Estimate> {
    let n = free.len();
    let one = |(at, parameter): (usize, &Parameter)| {
        let begin = parameter.of(start);
        let at_place = |place: f64| parameter.value_at(begin, place);
        let value = at_place(x[at]);
        let own = covariance.map(|c| c[at * n + at].sqrt());
        let (low, high) = parameter.range(begin);
        let is_at_end = x[at] <= low || x[at] >= high;
        Estimate {
            parameter: *parameter,
            start: begin,
            value,
            standard_uncertainty: own.map(|u| parameter.in_unit(value, u)),
            interval: own.map(|u| {
                let half_width = coverage_factor * u;
                (at_place(x[at] - half_width), at_place(x[at] + half_width))
            }),
            is_at_end,
            is_told: !is_at_end && own.is_some_and(|u| u <= options.told_ratio),
        }
    };
    free.iter().enumerate().map(one).collect()
}

fn correlation(covariance: &[f64], n: usize) -> Vec<Vec<f64>> {
    let own = |at: usize| covariance[at * n + at].sqrt();
    let row = |a: usize| (0..n).map(|b| covariance[a * n + b] / (own(a) * own(b))).collect();
    (0..n).map(row).collect()
}

fn not_settled(least: &LeastPoint) -> Error {
    Error::new(ErrorKind::NotConverged {
        stage: "fitting the regulator to the captures".to_owned(),
        iterations: least.iterations,
        residual: least.sum_of_squares(),
        worst: "the sum of squares".to_owned(),
    })
    .with_hint("begin from values nearer to the machine, or free fewer of them")
}
