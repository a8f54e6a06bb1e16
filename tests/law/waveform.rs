//! What must hold for every waveform.

use loopcrest::meter::Detector;
use loopcrest::waveform::{Coupling, Harmonic, Noise, RingDown, Scale, Shape, Synthesis, Waveform};
use proptest::prelude::*;

use crate::support::{assert_relative, unit_shape};

fn shapes() -> impl Strategy<Value = Shape> {
    let harmonic = (2_usize..40, 0.0..0.5, -3.1..3.1)
        .prop_map(|(order, ratio, phase_rad)| Harmonic { order, ratio, phase_rad });
    prop_oneof![
        Just(Shape::Sine),
        Just(Shape::Triangle),
        Just(Shape::Square),
        Just(Shape::Block120),
        Just(Shape::HalfWave),
        (0.05..1.5, 1.0..50.0)
            .prop_map(|(level_ratio, sharpness)| Shape::ClippedSine { level_ratio, sharpness }),
        (0.0..3.0).prop_map(|delay_rad| Shape::PhaseCut { delay_rad }),
        (0.01..1.0).prop_map(|duty| Shape::Pulse { duty }),
        (0.0..1.0).prop_map(|flat_ratio| Shape::Trapezoid { flat_ratio }),
        harmonic.prop_map(|harmonic| Shape::Harmonics(vec![harmonic])),
    ]
}

fn currents() -> impl Strategy<Value = Waveform> {
    (shapes(), 0.01..1000.0, -2.0..2.0, 0.0..0.2, any::<u64>(), 1_usize..4).prop_map(
        |(shape, rms_a, offset_ratio, ratio, seed, periods)| {
            Synthesis {
                offset_ratio,
                noise: Some(Noise { ratio, seed }),
                periods,
                samples_per_period: 360,
                ..Synthesis::new(shape, Scale::RmsA(rms_a))
            }
            .waveform()
            .expect("parameters within bounds")
        },
    )
}

fn shown(waveform: &Waveform) -> Vec<f64> {
    let measures = waveform.measures();
    Detector::ALL.iter().map(|detector| detector.read(&measures).shown_a()).collect()
}

const ROUNDING: &str = "rounding of sums over about a thousand samples";

proptest! {
    #[test]
    fn law_readings_scale_with_the_current(waveform in currents(), factor in 0.001..1000.0) {
        let scaled = waveform.scaled(factor).unwrap();
        for (a, b) in shown(&waveform).into_iter().zip(shown(&scaled)) {
            assert_relative(b, a * factor, 1e-11, ROUNDING);
        }
    }

    #[test]
    fn law_sign_changes_no_reading(waveform in currents()) {
        let flipped = waveform.scaled(-1.0).unwrap();
        for (a, b) in shown(&waveform).into_iter().zip(shown(&flipped)) {
            assert_relative(b, a, 1e-12, ROUNDING);
        }
    }

    #[test]
    fn law_shift_in_time_changes_no_reading(waveform in currents(), shift in 0_usize..1080) {
        let mut samples_a = waveform.samples_a().to_vec();
        let by = shift % samples_a.len();
        samples_a.rotate_left(by);
        let n = waveform.samples_per_period();
        let shifted = Waveform::new(samples_a, n, waveform.sample_interval_s()).unwrap();
        for (a, b) in shown(&waveform).into_iter().zip(shown(&shifted)) {
            assert_relative(b, a, 1e-11, ROUNDING);
        }
    }

    #[test]
    fn law_average_below_rms_below_peak(waveform in currents()) {
        let measures = waveform.measures();
        for coupled in [measures.ac, measures.dc] {
            prop_assert!(coupled.arv_a <= coupled.rms_a * (1.0 + 1e-12));
            prop_assert!(coupled.rms_a <= coupled.peak_a * (1.0 + 1e-12));
        }
        prop_assert!(measures.ac.rms_a <= measures.dc.rms_a);
    }

    #[test]
    fn law_scale_is_met_with_everything_added(waveform in currents()) {
        let again = waveform.scaled_to_rms(6.6, Coupling::Dc).unwrap();
        assert_relative(again.measures().dc.rms_a, 6.6, 1e-12, ROUNDING);
    }

    /// All laws are scaled to read the RMS of a sine, whatever its frequency and phase.
    #[test]
    fn law_detectors_agree_on_a_sine(
        frequency_hz in 1.0..10_000.0, rms_a in 0.01..100.0, shift in 0_usize..7200,
    ) {
        let sine = Synthesis { frequency_hz, ..Synthesis::new(Shape::Sine, Scale::RmsA(rms_a)) };
        let sine = sine.waveform().unwrap();
        let mut samples_a = sine.samples_a().to_vec();
        samples_a.rotate_left(shift);
        let sine = Waveform::new(samples_a, 7200, sine.sample_interval_s()).unwrap();
        for reading in shown(&sine) {
            assert_relative(reading, rms_a, 1e-7, "7200 samples: (π/7200)²/3 for the average");
        }
    }
}

/// The rectified mean of a sine on N samples is off by a share that falls with N² (see the doc of
/// `Measures`): halving the interval divides it by four.
#[test]
fn law_rectified_mean_converges_with_order_two() {
    let off = |n: usize| {
        let arv_a = unit_shape(Shape::Sine, n).measures().ac.arv_a;
        (arv_a * std::f64::consts::FRAC_PI_2 - 1.0).abs()
    };
    for n in [64, 128, 256, 512] {
        assert!(off(n) <= (std::f64::consts::PI / n as f64).powi(2) / 3.0);
        assert_relative(off(n) / off(2 * n), 4.0, 5e-3, "the next term is of order four");
    }
}

/// The blocks of the sums are fixed, so one thread and many give the same bytes.
#[test]
fn law_measures_are_the_same_bytes_for_any_number_of_threads() {
    let long = Synthesis {
        noise: Some(Noise { ratio: 0.3, seed: 7 }),
        offset_ratio: 0.1,
        periods: 100,
        ..Synthesis::new(Shape::Triangle, Scale::RmsA(6.6))
    };
    let measured = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| format!("{:?}", long.waveform().unwrap().measures()))
    };
    let one = measured(1);
    assert!(one.contains("rms_a"));
    for threads in [2, 3, 5] {
        assert_eq!(measured(threads), one);
    }
}

/// The ringing repeats with the period, alternates with the half period, and dies as told.
#[test]
fn law_ring_down_is_periodic_and_alternating() {
    let with_ringing = Synthesis {
        ring_down: Some(RingDown { ratio: 0.5, order: 21.3, decay_rad: 0.3, start_rad: 1.0 }),
        samples_per_period: 7200,
        ..Synthesis::new(Shape::Sine, Scale::PeakA(1.0))
    };
    let samples_a = with_ringing.waveform().unwrap().samples_a().to_vec();
    for k in 0..3600 {
        let sum = samples_a[k] + samples_a[k + 3600];
        assert!(sum.abs() < 1e-12, "half-wave symmetry at sample {k}: {sum}");
    }
}

#[test]
fn law_noise_has_the_size_asked_for_and_follows_its_seed() {
    let noisy = |seed| {
        let synthesis = Synthesis {
            noise: Some(Noise { ratio: 0.1, seed }),
            periods: 20,
            ..Synthesis::new(Shape::Sine, Scale::RmsA(1.0))
        };
        synthesis.waveform().unwrap()
    };
    assert_eq!(noisy(1), noisy(1));
    assert_ne!(noisy(1), noisy(2));
    // The sine averaged out over 20 periods leaves the noise: 0.1/√1.01 of the whole, divided by
    // √20 in the average; 7200 samples give its RMS to about 1/√(2·7200) = 0.8 %.
    let waveform = noisy(1);
    let mean = waveform.averaged_period();
    let mut square = 0.0;
    for period in waveform.periods_a().rows() {
        for (sample, average) in period.iter().zip(mean.samples_a()) {
            square += (sample - average).powi(2);
        }
    }
    let rms = (square / (19.0 * 7200.0)).sqrt();
    assert_relative(rms, 0.1 / 1.01_f64.sqrt(), 0.01, "five standard deviations of the estimate");
}
