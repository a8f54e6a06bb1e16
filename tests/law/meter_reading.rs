//! What holds for every reading of every meter.

use std::f64::consts::TAU;

use loopcrest::meter::{
    Archetype, Cause, Converter, Detector, Sheet, Signal, Simulation, Window, WindowStart,
};
use loopcrest::spectrum::Transform;
use loopcrest::waveform::{Coupling, Harmonic, Noise, Scale, Shape, Synthesis, Waveform};
use num_complex::Complex64;
use proptest::prelude::*;

use crate::support::{assert_absolute, assert_relative};

fn shapes() -> impl Strategy<Value = Shape> {
    prop_oneof![
        Just(Shape::Sine),
        Just(Shape::HalfWave),
        (0.05..1.0_f64).prop_map(|duty| Shape::Pulse { duty }),
        (10.0..150.0_f64).prop_map(|deg| Shape::PhaseCut { delay_rad: deg.to_radians() }),
        (0.0..0.5_f64, 0.0..TAU).prop_map(|(ratio, phase_rad)| Shape::Harmonics(vec![Harmonic {
            order: 3,
            ratio,
            phase_rad
        }])),
    ]
}

fn currents() -> impl Strategy<Value = Waveform> {
    (shapes(), 0.5..25.0_f64, 1..4_usize, any::<bool>()).prop_map(
        |(shape, rms_a, periods, noisy)| {
            let noise = noisy.then_some(Noise { ratio: 0.02, seed: 5 });
            let recipe = Synthesis {
                periods,
                noise,
                samples_per_period: 720,
                ..Synthesis::new(shape, Scale::RmsA(rms_a))
            };
            recipe.waveform().unwrap()
        },
    )
}

fn starts() -> impl Strategy<Value = WindowStart> {
    prop_oneof![
        Just(WindowStart::Anywhere),
        Just(WindowStart::Lowest),
        Just(WindowStart::Highest),
        (0.0..TAU).prop_map(|phase_rad| WindowStart::At { phase_rad }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// All causes together are the whole error.
    #[test]
    fn law_causes_add_up_to_the_error(
        kind in prop::sample::select(Archetype::ALL.to_vec()),
        waveform in currents(),
        start in starts(),
    ) {
        let meter = Simulation::new(kind.sheet(), 60.0).unwrap();
        let reading = meter.read(&Signal::of(&waveform), start).unwrap();
        let sum_a: f64 = reading.breakdown.errors_a().map(|(_, error_a)| error_a).sum();
        let total_a = reading.breakdown.total_error_a();
        let scale_a = Cause::ALL.iter().map(|c| reading.breakdown.after_a(*c)).fold(1.0, f64::max);
        let reason = "sixteen roundings of numbers no larger than the largest of the chain";
        assert_absolute(sum_a, total_a, 16.0 * f64::EPSILON * scale_a, reason);
        if let Some(shown) = reading.shown() {
            let shown_a = shown.shown_a();
            assert_absolute(shown_a - waveform.measures().dc.rms_a, total_a, 0.0, "same numbers");
        }
        let law_a = kind.sheet().detector.read(&waveform.measures()).shown_a();
        assert_absolute(reading.breakdown.after_a(Cause::DetectorLaw), law_a, 0.0, "the same law");
    }

    /// Wherever the window begins, the reading lies in the span that is told.
    #[test]
    fn law_every_window_lies_in_the_span(
        waveform in currents(),
        average in any::<bool>(),
        cycles in 1.0..20.0_f64,
        phase_rad in 0.0..TAU,
    ) {
        let window = Window::Free { length_s: cycles / 60.0 };
        let law = if average {
            Detector::AverageResponding(Coupling::Dc)
        } else {
            Detector::TrueRms(Coupling::Dc)
        };
        let sheet = Sheet {
            converter: Converter::Sampling { bits: 16, sample_rate_hz: 1e5, window },
            ..Sheet::ideal(law)
        };
        let meter = Simulation::new(sheet, 60.0).unwrap();
        let signal = Signal::of(&waveform);
        let reading = meter.read(&signal, WindowStart::At { phase_rad }).unwrap();
        let (low_a, high_a) = reading.window_span_a.unwrap();
        let got_a = reading.breakdown.after_a(Cause::Window);
        // Between two edges of cells a window may gain or lose part of one cell in each end.
        let slack_a = 2.0 * waveform.measures().dc.peak_a / (720.0 * cycles);
        prop_assert!(got_a >= low_a - slack_a && got_a <= high_a + slack_a);
        for (start, want_a) in [(WindowStart::Lowest, low_a), (WindowStart::Highest, high_a)] {
            let got_a = meter.read(&signal, start).unwrap().breakdown.after_a(Cause::Window);
            assert_absolute(got_a, want_a, 0.0, "the span is made of these two");
        }
    }

    /// The mean square behind gains is the same by lines and by samples.
    #[test]
    fn law_filtered_energy_by_lines_is_that_by_samples(
        samples in prop::collection::vec(-10.0..10.0_f64, 32..80),
        corner in 0.5..20.0_f64,
    ) {
        let count = samples.len();
        let waveform = Waveform::new(samples, count, 1.0 / (60.0 * count as f64)).unwrap();
        let transform = Transform::of(&waveform);
        let gains: Vec<Complex64> = (0..transform.bins())
            .map(|bin| Complex64::new(1.0, bin as f64 / corner).inv())
            .collect();
        let by_samples: f64 = transform.filtered_a(&gains).unwrap().iter().map(|x| x * x).sum();
        let by_lines = transform.filtered_square_a2(&gains).unwrap();
        let reason = "rounding of a transform of at most 80 samples";
        assert_relative(by_samples / count as f64, by_lines, 1e-12, reason);
        let flat = vec![Complex64::ONE; transform.bins()];
        let back = transform.filtered_a(&flat).unwrap();
        for (got, want) in back.iter().zip(waveform.samples_a()) {
            assert_absolute(*got, *want, 1e-13, "rounding of values below 10");
        }
        prop_assert!(transform.filtered_a(&gains[1..]).is_err());
    }
}

/// A meter reads the same whether it met another grid before or not.
#[test]
fn law_a_reading_does_not_depend_on_the_one_before() {
    let fine = Synthesis::new(Shape::PhaseCut { delay_rad: 1.0 }, Scale::RmsA(6.6));
    let coarse = Synthesis { samples_per_period: 720, ..fine.clone() };
    let (fine, coarse) = (fine.waveform().unwrap(), coarse.waveform().unwrap());
    for kind in Archetype::ALL {
        let used = Simulation::new(kind.sheet(), 60.0).unwrap();
        used.read_waveform(&coarse).unwrap();
        let fresh = Simulation::new(kind.sheet(), 60.0).unwrap();
        assert_eq!(used.read_waveform(&fine).unwrap(), fresh.read_waveform(&fine).unwrap());
    }
}

/// Less bandwidth never lets a true-RMS meter read higher.
#[test]
fn law_less_bandwidth_reads_less() {
    use loopcrest::meter::Bandwidth;
    let recipe = Synthesis::new(Shape::PhaseCut { delay_rad: 2.0 }, Scale::RmsA(6.6));
    let waveform = recipe.waveform().unwrap();
    let mut last_a = f64::INFINITY;
    for corner_hz in [1e6, 1e5, 1e4, 3e3, 1e3, 400.0, 100.0] {
        let bandwidth = Bandwidth::Poles(vec![corner_hz]);
        let sheet = Sheet { bandwidth, ..Sheet::ideal(Detector::TrueRms(Coupling::Ac)) };
        let meter = Simulation::new(sheet, 60.0).unwrap();
        let now_a = meter.read_waveform(&waveform).unwrap().breakdown.after_a(Cause::Bandwidth);
        assert!(now_a < last_a, "{corner_hz} Hz: {now_a} after {last_a}");
        last_a = now_a;
    }
}
