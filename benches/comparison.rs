//! A hundred meters at five steps of twenty circuits, and one verdict by itself.

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::assess::instrument::{
    CircuitCurrents, Comparison, Connection, Instrument, PossibleCurrent, StepCurrents, Terms,
    Verdict,
};
use loopcrest::meter::Archetype;
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::waveform::{Scale, Shape, Synthesis};

/// As many samples a period as the solver gives.
const SAMPLES_PER_PERIOD: usize = 7200;

fn circuits() -> Vec<CircuitCurrents> {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005)
        .expect("a published table");
    let current = |place: usize, number: u32| {
        let delay_rad = 0.02 * f64::from(number) + 0.01 * place as f64;
        let recipe = Synthesis {
            samples_per_period: SAMPLES_PER_PERIOD,
            ..Synthesis::new(Shape::PhaseCut { delay_rad }, Scale::RmsA(6.6))
        };
        PossibleCurrent {
            origin: "cut sine".to_owned(),
            waveform: recipe.waveform().expect("parameters within bounds"),
        }
    };
    (0..20)
        .map(|place| CircuitCurrents {
            name: format!("circuit {place}"),
            steps: table
                .steps()
                .iter()
                .map(|step| {
                    let possible = vec![current(place, step.number)];
                    StepCurrents::new(step.clone(), Connection::Loaded, Some(400.0), possible)
                        .expect("a current flows")
                })
                .collect(),
        })
        .collect()
}

fn compare(criterion: &mut Criterion) {
    let circuits = circuits();
    let instruments: Vec<Instrument> = (0..100)
        .map(|place| {
            let kind = Archetype::ALL[place % Archetype::ALL.len()];
            Instrument::new(format!("{} {place}", kind.key()), kind.sheet(), 60.0, None)
                .expect("a checked sheet")
        })
        .collect();
    let terms = Terms::default();
    let mut group = criterion.benchmark_group("comparison");
    group.sample_size(10);
    group.bench_function("100-meters-5-steps-20-circuits", |b| {
        b.iter(|| Comparison::new(&instruments, &circuits, &terms));
    });
    let step = &circuits[0].steps[0];
    let signals = step.signals();
    group.bench_function("one-verdict", |b| {
        b.iter(|| Verdict::of_signals(&instruments[1], step, &signals, &terms));
    });
    group.finish();
}

criterion_group!(benches, compare);
criterion_main!(benches);
