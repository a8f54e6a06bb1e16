use statrs::distribution::{ContinuousCDF, FisherSnedecor, StudentsT};

use crate::error::{Error, ErrorKind, Note, Result};
use crate::numeric::{LeastPoint, LeastSquares, NormalMatrix, least_squares};
use crate::regulator::ResonantRegulator;
use crate::waveform::Waveform;

use super::problem::{OWN, Problem};
use super::{Answer, Estimate, FitOptions, Fitted, FittedCapture, Observation, Parameter};
use super::{Prediction, Told};

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
    let chance_ratio = noise.freedom.map(|own| chance(reduced, freedom, own));
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
    let k = coverage_factor(options.coverage_ratio, noise.freedom.unwrap_or(freedom));
    let regulator = problem.regulator_at(&least.x);
    let captures: Vec<FittedCapture> = observations
        .iter()
        .enumerate()
        .map(|(at, seen)| FittedCapture::new(&problem, &least.x, at, seen))
        .collect::<Result<_>>()?;
    let estimates = estimates(start, free, &least.x, covariance.as_deref(), k, options);
    let answer = match chance_ratio {
        _ if estimates.iter().any(|own| !own.is_told) || !told.is_complete() => Answer::NotTold,
        None => Answer::NoiseUnknown,
        Some(chance) if chance < LEAST_CHANCE_RATIO => Answer::NotExplained,
        Some(_) => Answer::Explained,
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
    let (measured, predicted) = (capture.measured.measures().dc, capture.fitted.measures().dc);
    let difference = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a - b);
    let average = |waveform: &Waveform| {
        let form = waveform.measures().dc.form_factor()?;
        Some(crate::circuit::SenseLaw::SINE_FORM_FACTOR / form - 1.0)
    };
    Ok(Prediction {
        expected_rms_a,
        surprise_ratio: expected_rms_a.map(|expected_a| capture.residual_rms_a / expected_a),
        crest_factor_error: difference(predicted.crest_factor(), measured.crest_factor()),
        average_error_shift_ratio: difference(average(&capture.fitted), average(&capture.measured)),
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

/// What the residuals are counted in, and how well that is known.
struct Noise {
    units_a: Vec<f64>,
    /// Degrees of freedom of the noise; `None` when the noise of one capture is not known and all of
    /// them weigh the same.
    freedom: Option<usize>,
}

impl Noise {
    fn of(observations: &[Observation]) -> Self {
        let known: Option<Vec<f64>> = observations.iter().map(|seen| seen.lines.noise_a).collect();
        match known {
            Some(units_a) => {
                let freedoms = observations.iter().map(|seen| seen.lines.noise_freedom);
                Self { units_a, freedom: Some(freedoms.fold(0, usize::saturating_add)) }
            }
            None => Self { units_a: vec![1.0; observations.len()], freedom: None },
        }
    }
}

/// Probability that noise makes the reduced χ² this large: both variances come from a finite number
/// of values.
fn chance(reduced: f64, freedom: usize, noise_freedom: usize) -> f64 {
    FisherSnedecor::new(freedom as f64, noise_freedom.max(1) as f64)
        .map_or(0.0, |law| law.sf(reduced))
}

fn coverage_factor(coverage_ratio: f64, freedom: usize) -> f64 {
    StudentsT::new(0.0, 1.0, freedom.max(1) as f64)
        .map_or(f64::INFINITY, |law| law.inverse_cdf(0.5 + 0.5 * coverage_ratio))
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

fn notes(fitted: &Fitted, noise: &Noise, least: &LeastPoint) -> Vec<Note> {
    let mut notes = Vec::new();
    for combination in fitted.told.untold() {
        let how = combination.standard_uncertainty_ratio.map_or_else(
            || "not at all".to_owned(),
            |u| format!("to a standard uncertainty of {:.0} % only", 100.0 * u),
        );
        notes.push(Note::new(
            "not-told",
            format!(
                "the captures tell the combination {} {how}: values may move along it together and \
                 the current stays the same; hold one of them, or capture at another step or load",
                combination.words()
            ),
        ));
    }
    for own in fitted.estimates.iter().filter(|own| own.is_at_end) {
        notes.push(Note::new(
            "at-end",
            format!(
                "{} went to the end of what is looked at, {} times its start: the captures do not \
                 hold it back",
                own.parameter.key(),
                own.value / own.start
            ),
        ));
    }
    if !least.settled {
        notes.push(Note::new(
            "not-settled",
            format!("the search was stopped after {} iterations", least.iterations),
        ));
    }
    if noise.freedom.is_none() {
        notes.push(Note::new(
            "noise-unknown",
            "a capture of one period says nothing about its noise: uncertainties are taken from the \
             residuals, and whether the regulator explains the captures cannot be told",
        ));
    }
    if fitted.answer == Answer::NotExplained
        || (noise.freedom.is_some() && fitted.enlargement_ratio > 1.0)
    {
        notes.push(Note::new(
            "larger-than-noise",
            format!(
                "the residuals are {:.1} times what the noise explains: this network with these free \
                 values is not quite that machine; uncertainties are enlarged by that factor, which \
                 is right only if the misfit is as good as random",
                fitted.enlargement_ratio
            ),
        ));
    }
    notes
}
