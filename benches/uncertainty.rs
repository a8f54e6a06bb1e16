//! A full budget by trials, a global risk, and a guard band solved for.

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::uncertainty::decision::{GlobalRisk, Limits};
use loopcrest::uncertainty::{Correlations, Distribution, Estimate, Evaluation, Input, MonteCarlo};

/// Ten inputs of a clamp reading, of every kind a budget has.
fn inputs() -> Vec<Input> {
    let flat = |name: &str, half_width| {
        Input::rectangular(name, "", 0.0, half_width).expect("a positive half-width")
    };
    let law = |name: &str, law| Input::from_distribution(name, "", law).expect("a valid law");
    let repeated = Estimate::new(6.58, 0.012, 9.0).expect("within bounds");
    vec![
        Input::from_estimate("shown", "A", repeated, Evaluation::TypeA).expect("within bounds"),
        flat("accuracy", 0.066),
        flat("resolution", 0.005),
        flat("crest", 0.002),
        flat("position", 0.01),
        flat("ratio", 0.004),
        law("certificate", Distribution::Normal { mean: 0.0, standard_uncertainty: 0.004 }),
        law("temperature", Distribution::ArcSine { low: -0.003, high: 0.003 }),
        law("bandwidth", Distribution::Triangular { low: -0.006, high: 0.006 }),
        law("waveform", Distribution::Normal { mean: -0.02, standard_uncertainty: 0.006 }),
    ]
}

fn current_a(x: &[f64]) -> f64 {
    (x[0] + x[1] + x[2]) * (1.0 + x[3] + x[4] + x[5] + x[6] + x[7] + x[8]) / (1.0 + x[9])
}

fn trials(criterion: &mut Criterion) {
    let (inputs, independent) = (inputs(), Correlations::none(10));
    let million = MonteCarlo::default().with_trials(1_000_000);
    let mut group = criterion.benchmark_group("uncertainty");
    group.sample_size(10);
    group.bench_function("million-trials-of-ten-inputs", |b| {
        b.iter(|| million.run(&inputs, &independent, current_a));
    });
    group.bench_function("adaptive-two-digits", |b| {
        b.iter(|| MonteCarlo::default().run(&inputs, &independent, current_a));
    });
    let tolerance = Limits::between(6.4, 6.7).expect("in order");
    let process = Distribution::Normal { mean: 6.6, standard_uncertainty: 0.08 };
    group.bench_function("global-risk", |b| {
        b.iter(|| GlobalRisk::new(&process, 0.03, &tolerance, &tolerance));
    });
    group.bench_function("guard-band-for-a-risk", |b| {
        b.iter(|| GlobalRisk::guard_band_for(&process, 0.03, &tolerance, 0.001));
    });
    group.finish();
}

criterion_group!(benches, trials);
criterion_main!(benches);
