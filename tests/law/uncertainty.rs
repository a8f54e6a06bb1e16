//! What must hold for budgets, trials and decisions whatever the numbers.

use loopcrest::error::ErrorKind;
use loopcrest::uncertainty::decision::{Acceptance, GlobalRisk, GuardBand, Limits, Outcome};
use loopcrest::uncertainty::{
    Budget, Contribution, Correlations, Distribution, Estimate, Input, MonteCarlo, Part, Sampled,
    Shape, Validation, coverage,
};
use proptest::prelude::*;

fn flat(name: &str, half_width: f64) -> Input {
    Input::rectangular(name, "A", 0.0, half_width).unwrap()
}

/// Not a bit of a run depends on how many threads made it.
#[test]
fn law_trials_do_not_depend_on_threads() {
    let inputs = [
        Input::from_readings("readings", "A", &[6.58, 6.61, 6.60, 6.62]).unwrap(),
        flat("accuracy", 0.066),
    ];
    let run = || {
        MonteCarlo::default().run(&inputs, &Correlations::none(2), |x| x[0] * (1.0 + x[1])).unwrap()
    };
    let with = |threads| {
        let pool = rayon_pool(threads);
        pool.install(run)
    };
    let (one, three) = (with(1), with(3));
    assert_eq!(one.sampled.sorted(), three.sampled.sorted());
    assert_eq!(one, three);
    let other = MonteCarlo { seed: 2, ..MonteCarlo::default() }
        .run(&inputs, &Correlations::none(2), |x| x[0] * (1.0 + x[1]))
        .unwrap();
    assert_ne!(one.sampled.mean(), other.sampled.mean());
}

fn rayon_pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap()
}

/// More digits asked for take more trials, and a run that may not go on says that it is not stable.
#[test]
fn law_stopping_follows_the_digits() {
    let inputs = [flat("a", 1.0), flat("b", 0.7)];
    let run = |significant_digits, most_trials| {
        MonteCarlo { significant_digits, most_trials, ..MonteCarlo::default() }
            .run(&inputs, &Correlations::none(2), |x| x[0] + x[1])
            .unwrap()
    };
    let (one, two) = (run(1, 10_000_000), run(2, 10_000_000));
    assert!(one.stable && two.stable);
    assert!(one.sampled.trials() <= two.sampled.trials());
    let short = run(4, 100_000);
    assert!(!short.stable);
    assert_eq!(short.sampled.trials(), 100_000);
}

#[test]
fn law_impossible_correlations_are_refused() {
    let tied = Correlations::none(3).with(0, 1, 0.7).unwrap().with(1, 2, 0.7).unwrap();
    let refused = tied.clone().with(0, 2, -0.9).unwrap_err();
    assert!(matches!(refused.kind(), ErrorKind::Inconsistent { .. }));
    assert!(tied.with(0, 2, 1.2).is_err());
    assert!(Correlations::none(2).with(0, 0, 0.5).is_err());
    assert!(Correlations::from_matrix(2, vec![1.0, 0.5, 0.4, 1.0]).is_err());
}

#[test]
fn law_what_cannot_be_computed_is_an_error() {
    assert!(Estimate::from_readings(&[6.6]).is_err());
    assert!(Estimate::from_readings(&[6.6, f64::NAN]).is_err());
    assert!(Estimate::new(1.0, -0.1, 5.0).is_err());
    let t = Distribution::StudentT { mean: 0.0, scale: 1.0, degrees_of_freedom: 2.0 };
    assert!(Input::from_distribution("t", "", t).is_err());
    assert!(Limits::new(None, None).is_err());
    assert!(Limits::between(6.7, 6.5).is_err());
    assert!(coverage::student(f64::NAN, 0.95).is_err());
    assert!(coverage::student(5.0, 1.0).is_err());
    assert!(Sampled::new(vec![f64::NAN; 1000]).is_err());
    // A logarithm of a quantity that may be negative has trials without a result.
    let inputs = [flat("x", 1.0)];
    let run = MonteCarlo::default().run(&inputs, &Correlations::none(1), |x| x[0].ln());
    assert!(matches!(run.unwrap_err().kind(), ErrorKind::Inconsistent { .. }));
    // Correlated rectangles have no agreed joint law.
    let tied = Correlations::none(2).with(0, 1, 0.5).unwrap();
    let run = MonteCarlo::default().run(&[flat("a", 1.0), flat("b", 1.0)], &tied, |x| x[0]);
    assert!(run.is_err());
    let line = Contribution { input: flat("x", 1.0), sensitivity: f64::NAN };
    assert!(Budget::new("y", "A", 0.0, vec![line], Correlations::none(1)).is_err());
    assert!(Budget::new("y", "A", 0.0, vec![], Correlations::none(0)).is_err());
    let limits = Limits::at_most(1.0).unwrap();
    let never = Distribution::Rectangular { low: -1.0, high: 0.0 };
    assert!(GlobalRisk::guard_band_for(&never, 0.01, &limits, 0.1).is_err());
}

/// A straight-line model of normal inputs is where both methods must agree.
#[test]
fn law_budget_and_trials_agree_on_a_straight_line() {
    let normal = |name: &str, value, standard_uncertainty| {
        let law = Distribution::Normal { mean: value, standard_uncertainty };
        Input::from_distribution(name, "A", law).unwrap()
    };
    let inputs = vec![normal("a", 6.6, 0.02), normal("b", 0.1, 0.03), normal("c", 0.0, 0.01)];
    let model = |x: &[f64]| x[0] + 2.0 * x[1] - x[2];
    let independent = Correlations::none(3);
    let budget = Budget::from_model("y", "A", inputs.clone(), independent.clone(), model).unwrap();
    let run =
        MonteCarlo::default().with_trials(1_000_000).run(&inputs, &independent, model).unwrap();
    let validation = Validation::new(&budget, &run, 0.95, 2).unwrap();
    assert!(validation.holds(), "{validation:?}");
}

proptest! {
    /// Shares of the variance add up to one, and no part is larger than the whole.
    #[test]
    fn law_shares_add_up(us in prop::collection::vec(1e-6_f64..10.0, 1..9)) {
        let lines: Vec<Contribution> = us
            .iter()
            .enumerate()
            .map(|(k, u)| Contribution { input: flat(&format!("x{k}"), *u), sensitivity: -1.5 })
            .collect();
        let independent = Correlations::none(lines.len());
        let budget = Budget::new("y", "A", 1.0, lines, independent).unwrap();
        let rows = budget.rows();
        let sum: f64 = rows.iter().map(|row| row.share_ratio.unwrap()).sum();
        prop_assert!((sum - 1.0).abs() < 1e-12);
        prop_assert!(rows.iter().all(|row| row.contribution <= budget.combined() * (1.0 + 1e-12)));
        let expanded = budget.expanded(0.95).unwrap();
        prop_assert!(expanded.coverage_factor > 1.6 && expanded.coverage_factor < 2.0);
        prop_assert!((expanded.standard_uncertainty() / budget.combined() - 1.0).abs() < 1e-12);
    }

    /// A shape's interval of ± k u holds the probability that k was made for.
    #[test]
    fn law_shapes_hold_what_their_factors_say(
        parts in prop::collection::vec((0.001_f64..1.0, any::<bool>()), 1..7),
        freedom in prop::sample::select(vec![3.0, 12.0, 40.0, f64::INFINITY]),
        probability in 0.6_f64..0.995,
    ) {
        let parts: Vec<Part> = parts
            .into_iter()
            .map(|(size, is_rectangular)| Part { size, is_rectangular })
            .collect();
        let shape = Shape::of_sum(&parts, freedom);
        let all: f64 = parts.iter().map(|part| part.size * part.size).sum();
        prop_assert!((shape.standard_uncertainty() / all.sqrt() - 1.0).abs() < 1e-12);
        let reach = shape.coverage_factor(probability).unwrap() * shape.standard_uncertainty();
        let held = shape.cdf(reach) - shape.cdf(-reach);
        // Root and inverse functions are good to 1e-9 or better.
        prop_assert!((held - probability).abs() < 1e-7, "{shape:?}: {held}");
    }

    /// The four outcomes follow each other outwards, whatever the rule.
    #[test]
    fn law_outcomes_follow_each_other(
        half_width in 0.01_f64..2.0,
        u in 0.001_f64..1.0,
        rule in 0_usize..4,
        step in 0.0_f64..0.2,
    ) {
        let tolerance = Limits::between(6.6 - half_width, 6.6 + half_width).unwrap();
        let expanded = Estimate::new(6.6, u, f64::INFINITY).unwrap().expanded(0.95).unwrap();
        let rule = [
            GuardBand::None,
            GuardBand::Expanded(1.0),
            GuardBand::InverseRatio,
            GuardBand::QuarterRelief,
        ][rule];
        let acceptance = Acceptance::new(tolerance, rule, &expanded).unwrap();
        let mut last = Outcome::Pass;
        for k in 0..60 {
            let outcome = acceptance.outcome(6.6 + f64::from(k) * step);
            prop_assert!(outcome >= last);
            last = outcome;
        }
        if let Some(limits) = acceptance.limits() {
            prop_assert!(limits.half_width().unwrap() <= half_width * (1.0 + 1e-12));
        } else {
            prop_assert!(acceptance.guard_band() >= half_width * (1.0 - 1e-12));
        }
    }

    /// A wider guard band trades false accepts for false rejects; probabilities stay probabilities.
    #[test]
    fn law_guard_bands_trade_risks(sigma in 0.02_f64..0.5, u in 0.005_f64..0.2, mean in 6.4..6.8) {
        let process = Distribution::Normal { mean, standard_uncertainty: sigma };
        let tolerance = Limits::between(6.4, 6.7).unwrap();
        let mut before = GlobalRisk::new(&process, u, &tolerance, &tolerance).unwrap();
        for by in [0.03, 0.06, 0.1] {
            let acceptance = tolerance.narrowed(by).unwrap();
            let risk = GlobalRisk::new(&process, u, &tolerance, &acceptance).unwrap();
            prop_assert!(risk.false_accept <= before.false_accept + 1e-10);
            prop_assert!(risk.false_reject >= before.false_reject - 1e-10);
            prop_assert!(risk.accepted() >= -1e-10 && risk.accepted() <= 1.0 + 1e-10);
            before = risk;
        }
    }
}
