//! Coverage factors, global risks and a Monte Carlo run against `tests/reference/uncertainty`.

use loopcrest::uncertainty::decision::{GlobalRisk, Limits};
use loopcrest::uncertainty::{
    Correlations, Distribution, Estimate, Evaluation, Input, MonteCarlo, coverage,
};
use serde_json::Value;

use crate::support::{assert_absolute, assert_relative};

fn reference() -> Value {
    let text = include_str!("../reference/uncertainty/check.json");
    serde_json::from_str(text).unwrap()
}

fn row<const N: usize>(row: &Value) -> [f64; N] {
    let numbers: Vec<f64> = row.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect();
    numbers.try_into().unwrap()
}

fn rows<const N: usize>(table: &Value) -> Vec<[f64; N]> {
    table.as_array().unwrap().iter().map(row).collect()
}

#[test]
fn cross_coverage_factors() {
    let reference = reference();
    for [freedom, p, want] in rows(&reference["student"]) {
        let got = coverage::student(freedom, p).unwrap();
        assert_relative(got, want, 1e-8, "two inversions of the incomplete beta function");
    }
    for [a1, a2, p, want] in rows(&reference["trapezoidal"]) {
        let got = coverage::trapezoidal(a1, a2, p).unwrap();
        assert_relative(got, want, 1e-12, "closed forms on both sides");
    }
    for [a, sigma, p, want] in rows(&reference["rectangular_with_normal"]) {
        let got = coverage::rectangular_with_normal(a, sigma, p).unwrap();
        assert_relative(got, want, 1e-9, "root and quadrature of the reference, each to 1e-12");
    }
}

fn process(law: &str) -> Vec<Distribution> {
    let unit = Distribution::Normal { mean: 0.0, standard_uncertainty: 1.0 };
    match law {
        "normal" => vec![
            Distribution::Normal { mean: 6.6, standard_uncertainty: 0.08 },
            Distribution::Normal { mean: 0.0, standard_uncertainty: 1.0 / unit.quantile(0.975) },
        ],
        "rectangular" => vec![Distribution::Rectangular { low: 6.3, high: 6.8 }],
        "triangular" => vec![Distribution::Triangular { low: 6.3, high: 6.8 }],
        "gamma" => vec![Distribution::Gamma { shape: 4.0, rate: 4.0 }],
        "log-normal" => vec![Distribution::LogNormal { log_mean: 1.0, log_deviation: 0.2 }],
        "student-t" => {
            vec![Distribution::StudentT { mean: 6.55, scale: 0.05, degrees_of_freedom: 5.0 }]
        }
        other => panic!("no process for {other}"),
    }
}

#[test]
fn cross_global_risks() {
    let reference = reference();
    let mut normals = 0;
    for case in reference["risks"].as_array().unwrap() {
        let law = case["law"].as_str().unwrap();
        let of_kind = process(law);
        let place = if law == "normal" { normals } else { 0 };
        normals += usize::from(law == "normal");
        let [low, high] = row(&case["tolerance"]);
        let tolerance = Limits::between(low, high).unwrap();
        let [low, high] = row(&case["acceptance"]);
        let acceptance = Limits::between(low, high).unwrap();
        let u = case["u"].as_f64().unwrap();
        let got = GlobalRisk::new(&of_kind[place], u, &tolerance, &acceptance).unwrap();
        let reason = "both integrate to better than 1e-10";
        for (got, key) in [(got.false_accept, "false_accept"), (got.false_reject, "false_reject")] {
            assert_absolute(got, case[key].as_f64().unwrap(), 1e-9, reason);
        }
    }
    assert_eq!(normals, 2);
}

#[test]
fn cross_monte_carlo() {
    let flat = |name: &str, half_width| Input::rectangular(name, "", 0.0, half_width).unwrap();
    let law = |name: &str, law| Input::from_distribution(name, "", law).unwrap();
    let shown = Estimate::new(6.58, 0.012, 9.0).unwrap();
    let inputs = [
        Input::from_estimate("shown", "A", shown, Evaluation::TypeA).unwrap(),
        flat("accuracy", 0.066),
        flat("resolution", 0.005),
        flat("position", 0.01),
        law("certificate", Distribution::Normal { mean: 0.0, standard_uncertainty: 0.004 }),
        law("temperature", Distribution::ArcSine { low: -0.003, high: 0.003 }),
        law("bandwidth", Distribution::Triangular { low: -0.006, high: 0.006 }),
        law("law", Distribution::LogNormal { log_mean: -3.9, log_deviation: 0.3 }),
    ];
    let model = |x: &[f64]| (x[0] + x[1] + x[2]) * (1.0 + x[3] + x[4] + x[5] + x[6]) / (1.0 - x[7]);
    let run = MonteCarlo { most_trials: 2_000_000, exactly: true, ..MonteCarlo::default() }
        .run(&inputs, &Correlations::none(8), model)
        .unwrap();
    let reference = &reference()["monte_carlo"];
    let u = reference["standard_uncertainty"].as_f64().unwrap();
    // Two million trials: a mean scatters by u/1400, a standard deviation by u/2000, an end of the
    // interval by about u/400; four times that, and the reference's own scatter is a third of ours.
    let got = &run.sampled;
    let mean = reference["mean"].as_f64().unwrap();
    assert_absolute(got.mean(), mean, u / 350.0, "four standard deviations of a mean");
    assert_absolute(got.standard_uncertainty(), u, u / 500.0, "four of a standard deviation");
    let [low, high] = row(&reference["symmetric"]);
    let interval = got.symmetric_interval(0.95).unwrap();
    assert_absolute(interval.low, low, u / 100.0, "four of a quantile at 2.5 %");
    assert_absolute(interval.high, high, u / 100.0, "four of a quantile at 97.5 %");
    let [low, high] = row(&reference["shortest"]);
    let shortest = got.shortest_interval(0.95).unwrap();
    // The place of the shortest interval is loose, its width is not.
    assert_absolute(shortest.width(), high - low, u / 100.0, "width moves little with its place");
    assert!(shortest.width() <= interval.width());
}
