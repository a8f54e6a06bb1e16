//! Budgets, coverage and decision against closed forms.

use loopcrest::uncertainty::decision::{GlobalRisk, Knowledge, Limits};
use loopcrest::uncertainty::{
    Budget, Contribution, Correlations, CoverageBasis, Distribution, Estimate, Evaluation, Input,
    MonteCarlo, Tolerance, coverage,
};

use crate::support::{assert_absolute, assert_relative};

fn input(name: &str, value: f64, u: f64, freedom: f64) -> Input {
    let estimate = Estimate::new(value, u, freedom).unwrap();
    Input::from_estimate(name, "", estimate, Evaluation::TypeB).unwrap()
}

/// (x y/z): relative variances add; with r(x, z) = 1 and equal relative u they cancel.
#[test]
fn exact_propagation_of_a_quotient() {
    let inputs =
        vec![input("x", 3.0, 0.03, 10.0), input("y", 2.0, 0.01, 20.0), input("z", 4.0, 0.04, 30.0)];
    let model = |x: &[f64]| x[0] * x[1] / x[2];
    let independent =
        Budget::from_model("q", "", inputs.clone(), Correlations::none(3), model).unwrap();
    let relative = [0.01_f64, 0.005, 0.01];
    let sum: f64 = relative.iter().map(|r| r * r).sum();
    assert_relative(independent.combined(), 1.5 * sum.sqrt(), 1e-9, "five-point differences");
    // Welch and Satterthwaite, by hand: (2.25e-4)²/(1e-8/10 + 6.25e-10/20 + 1e-8/30) = 37.1.
    assert_eq!(independent.effective_degrees_of_freedom(), 37.0);
    let tied = Correlations::none(3).with(0, 2, 1.0).unwrap();
    let tied = Budget::from_model("q", "", inputs, tied, model).unwrap();
    assert_relative(tied.combined(), 1.5 * 0.005, 1e-7, "x and z cancel up to rounding");
    assert_eq!(tied.effective_degrees_of_freedom(), 10.0);
}

/// x² at 0 has no slope: u² = ½ · 2² u⁴, the variance of a squared normal deviate.
#[test]
fn exact_second_order_of_a_square() {
    let square = |x: &[f64]| x[0] * x[0];
    let inputs = vec![input("x", 0.0, 0.1, f64::INFINITY)];
    let independent = Correlations::none(1);
    let budget = Budget::from_model("y", "", inputs, independent, square).unwrap();
    assert_absolute(budget.combined(), 0.0, 1e-12, "no slope");
    let curved = budget.with_second_order(square).unwrap();
    assert_relative(curved.combined(), 2.0_f64.sqrt() * 0.01, 1e-9, "differences of a parabola");
}

#[test]
fn exact_coverage_factors_at_their_ends() {
    // Two equal rectangles make a triangle: k = √6 (1 − √(1 − p)).
    let triangle = coverage::trapezoidal(2.0, 2.0, 0.95).unwrap();
    assert_relative(triangle, 6.0_f64.sqrt() * (1.0 - 0.05_f64.sqrt()), 1e-14, "closed form");
    let lone = coverage::trapezoidal(1.0, 1e-12, 0.95).unwrap();
    assert_relative(lone, 0.95 * 3.0_f64.sqrt(), 1e-11, "a rectangle with next to nothing");
    let rectangle = coverage::rectangular_with_normal(1.0, 0.0, 0.95).unwrap();
    assert_relative(rectangle, coverage::rectangular(0.95).unwrap(), 1e-6, "no normal part");
    let normal = coverage::rectangular_with_normal(1e-3, 1.0, 0.95).unwrap();
    assert_relative(normal, 1.959_963_984_540_054, 1e-6, "next to no rectangle: Φ⁻¹(0.975)");
}

/// The factor follows the shape: rectangle with a normal rest, trapezoid, Student.
#[test]
fn exact_choice_of_the_coverage_factor() {
    let line = |input: Input| Contribution { input, sensitivity: 1.0 };
    let flat = |half_width| line(Input::rectangular("flat", "A", 0.0, half_width).unwrap());
    let round = |u, freedom| line(input("round", 0.0, u, freedom));
    let basis = |lines: Vec<Contribution>| {
        let independent = Correlations::none(lines.len());
        Budget::new("y", "A", 0.0, lines, independent).unwrap().expanded(0.95).unwrap().basis
    };
    let infinite = f64::INFINITY;
    assert_eq!(basis(vec![flat(1.0), round(0.3, infinite)]), CoverageBasis::RectangularWithNormal);
    assert_eq!(basis(vec![flat(1.0), round(0.9, infinite)]), CoverageBasis::Normal);
    assert_eq!(basis(vec![flat(1.0), flat(0.5), round(0.1, 3.0)]), CoverageBasis::Trapezoidal);
    assert_eq!(basis(vec![flat(0.1), round(1.0, 3.0)]), CoverageBasis::Student);
    assert_eq!(basis(vec![flat(1.0), round(0.5, 1.0)]), CoverageBasis::Student);
}

/// A jointly normal pair: p = x − y has u² = u_x² + u_y² − 2 r u_x u_y.
#[test]
fn exact_correlated_trials() {
    let normal = |name: &str, u| input(name, 1.0, u, f64::INFINITY);
    let inputs = vec![normal("x", 0.3), normal("y", 0.4)];
    let tied = Correlations::none(2).with(0, 1, 0.8).unwrap();
    let run = MonteCarlo::default().with_trials(1_000_000).run(&inputs, &tied, |x| x[0] - x[1]);
    let got = run.unwrap().sampled.standard_uncertainty();
    let want = (0.09_f64 + 0.16 - 2.0 * 0.8 * 0.12).sqrt();
    assert_relative(got, want, 4.0 / 2e6_f64.sqrt(), "four standard deviations of a deviation");
}

/// The sum of twelve rectangles of width one: mean 0, u = 1, and its shortest interval is central.
#[test]
fn exact_trials_of_a_sum_of_rectangles() {
    let inputs: Vec<Input> =
        (0..12).map(|k| Input::rectangular(format!("x{k}"), "", 0.0, 0.5).unwrap()).collect();
    let run = MonteCarlo::default()
        .with_trials(1_000_000)
        .run(&inputs, &Correlations::none(12), |x| x.iter().sum())
        .unwrap();
    assert_absolute(run.sampled.mean(), 0.0, 4e-3, "four standard deviations of a mean");
    assert_relative(run.sampled.standard_uncertainty(), 1.0, 3e-3, "four of a deviation");
    let shortest = run.sampled.shortest_interval(0.95).unwrap();
    let symmetric = run.sampled.symmetric_interval(0.95).unwrap();
    assert_absolute(shortest.width(), symmetric.width(), 0.02, "a symmetric density");
    assert!(run.stable);
}

/// JCGM 101, 7.9.2: u = 0.35 to two digits has δ = 0.005; rounding up to a new digit counts.
#[test]
fn exact_numerical_tolerance() {
    for (u, digits, want) in
        [(0.35, 2, 0.005), (0.35, 1, 0.05), (0.0996, 2, 0.005), (73.0, 2, 0.5), (0.0, 2, 0.0)]
    {
        assert_relative(Tolerance::of(u, digits).unwrap().half_width, want, 1e-12, "rounding");
    }
}

/// A symmetric two-sided normal case: false accept and false reject by their closed form at zero
/// process scatter about a limit are both one half of what lies there.
#[test]
fn exact_risk_of_a_process_on_the_limit() {
    // Process centred on a single limit, simple acceptance: by symmetry both risks are
    // atan(u/σ)/(2π) (orthant probability of two correlated normal deviates).
    let limit = Limits::at_most(3.0).unwrap();
    for (sigma, u) in [(1.0, 1.0), (1.0, 0.2), (0.5, 2.0)] {
        let process = Distribution::Normal { mean: 3.0, standard_uncertainty: sigma };
        let risk = GlobalRisk::new(&process, u, &limit, &limit).unwrap();
        let want = (u / sigma).atan() / std::f64::consts::TAU;
        assert_absolute(risk.false_accept, want, 1e-10, "closed form of an orthant");
        assert_absolute(risk.false_reject, want, 1e-10, "closed form of an orthant");
        assert_absolute(risk.accepted(), 0.5, 1e-10, "half is accepted");
    }
}

/// Student's t with one degree of freedom: p = ½ + atan((L − x)/s)/π.
#[test]
fn exact_conformance_under_students_t() {
    let estimate = Estimate::new(6.6, 0.05, 1.0).unwrap();
    let got =
        Knowledge::from_estimate(&estimate).conformance_probability(&Limits::at_most(6.7).unwrap());
    let want = 0.5 + 2.0_f64.atan() / std::f64::consts::PI;
    assert_absolute(got, want, 1e-10, "closed form");
}
