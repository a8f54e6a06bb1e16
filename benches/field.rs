//! What an operating point on a field costs: three groups, one of them with fixtures open; and the
//! load of a Monte Carlo run, where values and lamps out change from sample to sample.
//!
//! Every bench first checks that what it times is right.

#![expect(clippy::unwrap_used, reason = "a bench that fails shall stop")]

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::regulator::{ResonantRegulator, SolveOptions};
use loopcrest::series::{
    Field, FieldLoad, FieldPoint, FilamentLamp, FixtureGroup, FixtureKind, IsolatingTransformer,
    LampsOut,
};

const STEPS_A: [f64; 5] = [6.6, 5.2, 4.1, 3.4, 2.8];

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn group(name: &str, count: u32, power_w: f64) -> FixtureGroup {
    let kind = FixtureKind::Lamp(FilamentLamp::new(power_w, 6.6).unwrap());
    let transformer = IsolatingTransformer::generic(power_w, 6.6, 6.6, 60.0).unwrap();
    FixtureGroup::new(name, count, kind, transformer).unwrap()
}

fn field() -> Field {
    let groups = vec![
        group("edge", 40, 45.0),
        group("approach", 15, 200.0),
        group("signs", 4, 100.0).with_open(4).unwrap(),
    ];
    Field { groups, ..Field::default() }
}

fn hold(
    load: &FieldLoad,
    regulator: &ResonantRegulator,
    target_a: f64,
    start: Option<&FieldPoint>,
    options: &SolveOptions,
) -> FieldPoint {
    let point = load.hold(regulator, target_a, start, options).unwrap().held().unwrap();
    assert!((point.output_rms_a() / target_a - 1.0).abs() < 1e-6);
    point
}

fn three_groups(criterion: &mut Criterion) {
    let mut benches = criterion.benchmark_group("field_of_three_groups_one_open");
    let options = SolveOptions::default();
    let load = FieldLoad::for_regulator(&field(), &regulator()).unwrap();
    let every = FieldLoad::with_every_core(&field(), 6.6, 60.0).unwrap();
    let start = hold(&load, &regulator(), 5.2, None, &options);
    let every_start = hold(&every, &regulator(), 5.2, None, &options);
    let coarse = SolveOptions { samples_per_period: 1440, ..options };
    benches.bench_function("cold", |b| {
        b.iter(|| hold(&load, &regulator(), 4.1, None, &options));
    });
    benches.bench_function("from the step above", |b| {
        b.iter(|| hold(&load, &regulator(), 4.1, Some(&start), &options));
    });
    benches.bench_function("from the step above, 1440 samples", |b| {
        b.iter(|| hold(&load, &regulator(), 4.1, Some(&start), &coarse));
    });
    benches.bench_function("cold, every core in the network", |b| {
        b.iter(|| hold(&every, &regulator(), 4.1, None, &options));
    });
    benches.bench_function("from the step above, every core in the network", |b| {
        b.iter(|| hold(&every, &regulator(), 4.1, Some(&every_start), &options));
    });
    benches.finish();
}

/// Ten circuits, five steps each: every circuit has its own capacitor, reactors and lamps out, and
/// starts from the nominal one at the same step.
fn samples(criterion: &mut Criterion) {
    let mut benches = criterion.benchmark_group("ten_circuits_of_five_steps");
    benches.sample_size(20);
    let options = SolveOptions { samples_per_period: 1440, ..SolveOptions::default() };
    let field = field();
    let at = |regulator: &ResonantRegulator, open_ratio: f64| {
        FieldLoad::with_open_ratio(&field, regulator, open_ratio, LampsOut::Group(2)).unwrap()
    };
    let nominal = at(&regulator(), 0.5);
    let starts = STEPS_A.map(|step_a| hold(&nominal, &regulator(), step_a, None, &options));
    benches.bench_function("from the nominal circuit", |b| {
        b.iter(|| {
            for k in 0..10 {
                let off = 0.01 * (f64::from(k) - 4.5);
                let mut varied = regulator();
                varied.values = varied.values.drifted(1.0 + 0.5 * off, 1.0 - off);
                let load = at(&varied, 0.5 + 5.0 * off);
                for (step_a, start) in STEPS_A.iter().zip(&starts) {
                    hold(&load, &varied, *step_a, Some(start), &options);
                }
            }
        });
    });
    benches.finish();
}

criterion_group!(benches, three_groups, samples);
criterion_main!(benches);
