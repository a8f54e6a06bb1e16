//! What a fit costs: six values of the resonant source on three captures, from the generic values.
//!
//! The bench first checks that what it times is right.

#![expect(clippy::unwrap_used, reason = "a bench that fails shall stop")]

#[path = "../tests/support/captures.rs"]
mod captures;

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::identify::{Answer, FitOptions, Parameter, fit};

use captures::{moved, observation};

const FREE: [Parameter; 6] = [
    Parameter::CapacitorReactance,
    Parameter::InputReactance,
    Parameter::OutputReactance,
    Parameter::ControlReactance,
    Parameter::ControlResistance,
    Parameter::IronKnee,
];

fn six_values_three_captures(criterion: &mut Criterion) {
    let truth = moved(&FREE.map(|parameter| (parameter, 1.04)));
    let seen = [(6.6, 0.02, 1), (4.1, 0.6, 2), (6.6, 0.9, 3)]
        .map(|(rms_a, load, seed)| observation(&truth, rms_a, load, 0.002, seed));
    let mut group = criterion.benchmark_group("fit");
    group.sample_size(10);
    group.bench_function("6 values on 3 captures", |bencher| {
        bencher.iter(|| {
            let fitted = fit(&moved(&[]), &FREE, &seen, &FitOptions::default()).unwrap();
            assert_eq!(fitted.answer, Answer::Explained);
        });
    });
    group.finish();
}

criterion_group!(benches, six_values_three_captures);
criterion_main!(benches);
