//! What an operating point costs: cold, from a neighbour, in a table, and as states are added.
//!
//! Every bench first checks that what it times is right.

#![expect(clippy::unwrap_used, reason = "a bench that fails shall stop")]

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use loopcrest::circuit::{BranchId, Element, Magnet, Network, NodeId};
use loopcrest::error::Result;
use loopcrest::regulator::{
    Load, OperatingPoint, Regulated, ResistiveLoad, ResonantRegulator, SolveOptions,
    operating_table,
};

const STEPS_A: [f64; 5] = [2.8, 3.4, 4.1, 5.2, 6.6];

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn hold(load: &dyn Load, target_a: f64, start: Option<&OperatingPoint>) -> OperatingPoint {
    let answer = regulator().hold(load, target_a, start, &SolveOptions::default());
    let point = answer.unwrap().held().unwrap();
    assert!(point.solution.defect_ratio < 1e-9);
    point
}

fn single(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("operating_point");
    for (load_ratio, target_a) in [(0.02, 4.1), (0.5, 2.8), (1.0, 6.6)] {
        let load = ResistiveLoad::new(load_ratio * 230.0).unwrap();
        let label = format!("load {load_ratio} at {target_a} A");
        group.bench_function(BenchmarkId::new("cold", &label), |bencher| {
            bencher.iter(|| hold(&load, target_a, None));
        });
        let near = ResistiveLoad::new(load_ratio * 230.0 + 11.5).unwrap();
        let start = hold(&near, target_a, None);
        group.bench_function(BenchmarkId::new("neighbour", &label), |bencher| {
            bencher.iter(|| hold(&load, target_a, Some(&start)));
        });
    }
    group.finish();
}

fn table(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("table_of_5_steps");
    group.sample_size(20);
    for count in [5_usize, 10, 20, 40] {
        let loads: Vec<ResistiveLoad> = (0..count)
            .map(|k| 0.02 + 0.98 * k as f64 / (count - 1) as f64)
            .map(|ratio| ResistiveLoad::new(230.0 * ratio).unwrap())
            .collect();
        let loads: Vec<&dyn Load> = loads.iter().map(|load| load as &dyn Load).collect();
        group.bench_function(BenchmarkId::new("loads", count), |bencher| {
            bencher.iter(|| {
                let cells =
                    operating_table(&regulator(), &loads, &STEPS_A, &SolveOptions::default());
                let held =
                    cells.iter().filter(|cell| matches!(cell.answer, Ok(Regulated::Held(_))));
                assert_eq!(held.count(), 5 * count);
            });
        });
    }
    group.finish();
}

/// A row of open fixtures of slightly different size: one flux state each.
#[derive(Debug)]
struct Fixtures(usize);

impl Load for Fixtures {
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId> {
        let mut at = from;
        for k in 0..self.0 {
            let next = network.node(&format!("after fixture {k}"));
            let magnet = Magnet::OddPower {
                linear_a: 0.15,
                power_a: 0.5,
                knee_wb: 0.05 * (1.0 + 0.05 * k as f64),
                exponent: 9,
            };
            let core = Element::SaturatingInductor { magnet, core_loss_ohm: Some(40.0) };
            network.branch(&format!("fixture {k}"), at, next, core);
            at = next;
        }
        Ok(network.branch("lamps", at, to, Element::Resistor { resistance_ohm: 60.0 }))
    }

    fn resistance_ohm(&self) -> f64 {
        60.0
    }
}

fn states(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("states");
    group.sample_size(20);
    for extra in [0_usize, 5, 15, 35] {
        group.bench_function(BenchmarkId::from_parameter(5 + extra), |bencher| {
            bencher.iter(|| hold(&Fixtures(extra), 5.2, None));
        });
    }
    group.finish();
}

criterion_group!(benches, single, table, states);
criterion_main!(benches);
