//! What a simulated reading costs: everything for one current and one meter, the transform included,
//! and many meters on one current.

use criterion::{Criterion, criterion_group, criterion_main};
use loopcrest::meter::{Archetype, Signal, Simulation, WindowStart};
use loopcrest::waveform::{Scale, Shape, Synthesis};

fn readings(criterion: &mut Criterion) {
    let delay_rad = 120.0_f64.to_radians();
    let waveform = Synthesis::new(Shape::PhaseCut { delay_rad }, Scale::RmsA(6.6))
        .waveform()
        .expect("a valid shape");
    assert_eq!(waveform.samples_a().len(), 7200);
    let meters: Vec<Simulation> = Archetype::ALL
        .iter()
        .map(|kind| Simulation::new(kind.sheet(), 60.0).expect("a valid sheet"))
        .collect();
    let mut group = criterion.benchmark_group("reading");
    for (kind, meter) in Archetype::ALL.iter().zip(&meters) {
        group.bench_function(format!("complete, {}", kind.key()), |bencher| {
            bencher.iter(|| meter.read_waveform(&waveform).expect("a reading"));
        });
    }
    let signal = Signal::of(&waveform);
    group.bench_function("eight meters on a current made ready", |bencher| {
        bencher.iter(|| {
            for meter in &meters {
                std::hint::black_box(
                    meter.read(&signal, WindowStart::Anywhere).expect("a reading"),
                );
            }
        });
    });
    group.finish();
}

criterion_group!(benches, readings);
criterion_main!(benches);
