//! Measures of a long record against a plain sum over the same memory, and harmonics of ten periods.
//! `benches/ratios.py` runs this, sets numpy's transform beside it and prints the ratios.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::spectrum::Spectrum;
use loopcrest::waveform::{Noise, Scale, Shape, Synthesis, Waveform};

const SAMPLES: usize = 10_000_000;

fn record(samples_per_period: usize, periods: usize) -> Waveform {
    Synthesis {
        noise: Some(Noise { ratio: 0.05, seed: 1 }),
        samples_per_period,
        periods,
        ..Synthesis::new(Shape::PhaseCut { delay_rad: 1.0 }, Scale::RmsA(6.6))
    }
    .waveform()
    .expect("parameters within bounds")
}

/// The fastest plain sum that one thread can do: eight independent lanes.
fn sum_in_lanes(samples: &[f64]) -> f64 {
    let mut lanes = [0.0; 8];
    let (head, tail) = samples.as_chunks::<8>();
    for eight in head {
        for (lane, sample) in lanes.iter_mut().zip(eight) {
            *lane += sample;
        }
    }
    lanes.iter().sum::<f64>() + tail.iter().sum::<f64>()
}

fn time_domain(criterion: &mut Criterion) {
    let waveform = record(10_000, SAMPLES / 10_000);
    let one_thread =
        rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool of one thread");
    let mut group = criterion.benchmark_group("time-domain");
    group.sample_size(20);
    group.bench_function("sum-iterator", |b| {
        b.iter(|| black_box(waveform.samples_a()).iter().sum::<f64>());
    });
    group.bench_function("sum-lanes", |b| b.iter(|| sum_in_lanes(black_box(waveform.samples_a()))));
    group.bench_function("measures", |b| b.iter(|| black_box(&waveform).measures()));
    group.bench_function("measures-one-thread", |b| {
        b.iter(|| one_thread.install(|| black_box(&waveform).measures()));
    });
    group.bench_function("check-and-measures", |b| {
        b.iter_batched(
            || waveform.samples_a().to_vec(),
            |samples_a| {
                Waveform::new(samples_a, 10_000, 1e-6).expect("the same samples").measures()
            },
            criterion::BatchSize::PerIteration,
        );
    });
    group.finish();
}

fn harmonics(criterion: &mut Criterion) {
    let waveform = record(10_000, 10);
    criterion.bench_function("harmonics-10x10000", |b| {
        b.iter(|| Spectrum::of(black_box(&waveform)));
    });
}

criterion_group!(benches, time_domain, harmonics);
criterion_main!(benches);
