//! What must hold for every waveform.

use loopcrest::meter::Detector;
use loopcrest::spectrum::band_limited;
use loopcrest::waveform::{Harmonic, Noise, RingDown, Scale, Shape, Synthesis, Waveform};
use proptest::prelude::*;
use std::f64::consts::PI;

use crate::support::{assert_absolute, assert_relative, unit_shape};

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

    /// The target is met by the waveform as it comes, with everything added.
    #[test]
    fn law_scale_is_met_with_everything_added(
        shape in shapes(), target_a in 0.01..1000.0, offset_ratio in -2.0..2.0, ratio in 0.0..0.2,
        seed in any::<u64>(), to_peak in any::<bool>(), highest_order in prop::option::of(1_usize..100),
    ) {
        let synthesis = Synthesis {
            offset_ratio,
            noise: Some(Noise { ratio, seed }),
            ring_down: Some(RingDown { ratio, order: 9.5, decay_rad: 0.4, start_rad: 1.0 }),
            periods: 2,
            samples_per_period: 360,
            ..Synthesis::new(
                shape,
                if to_peak { Scale::PeakA(target_a) } else { Scale::RmsA(target_a) },
            )
        };
        let waveform = match highest_order {
            Some(order) => band_limited(&synthesis, order).unwrap(),
            None => synthesis.waveform().unwrap(),
        };
        let measures = waveform.measures();
        let met_a = if to_peak { measures.dc.peak_a } else { measures.dc.rms_a };
        assert_relative(met_a, target_a, 1e-12, ROUNDING);
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

/// Before the burst the current is the bare sine; after it, the crests of the ringing stand where its
/// order says, with the size its amplitude and decay say (closed form: the formula of `RingDown`).
#[test]
fn exact_ring_down_has_its_amplitude_and_decay() {
    let (ratio, order, decay_rad, start_rad) = (0.5, 40.0, 0.1, 1.0);
    let synthesis = Synthesis {
        ring_down: Some(RingDown { ratio, order, decay_rad, start_rad }),
        samples_per_period: 72_000,
        ..Synthesis::new(Shape::Sine, Scale::PeakA(6.6))
    };
    let waveform = synthesis.waveform().unwrap();
    let theta = |k: usize| std::f64::consts::TAU * (k as f64 + 0.5) / 72_000.0;
    // Half a radian before the burst the last one has decayed to e^-26.
    let quiet = 6000;
    let factor = waveform.samples_a()[quiet] / theta(quiet).sin();
    let bare_rms = 0.5_f64.sqrt();
    let mut crests = 0;
    for k in 11_460..20_000 {
        let tau = theta(k) - start_rad;
        let ringing = waveform.samples_a()[k] / factor - theta(k).sin();
        let want = bare_rms * ratio * (-tau / decay_rad).exp() * (order * tau).sin();
        assert!((ringing - want).abs() < 1e-9, "at {tau} rad: {ringing} instead of {want}");
        crests += usize::from(want.abs() > 0.01);
    }
    assert!(crests > 1000, "the ringing was looked at where it is: {crests}");
    assert_relative(waveform.measures().dc.peak_a, 6.6, 1e-12, ROUNDING);
}

/// A peak that stands at a jump lies half a cell from the nearest sample: low by (π/N) |cot a| to first
/// order, as the doc of `Synthesis` says.
#[test]
fn exact_peak_of_a_late_phase_cut_is_low_by_half_a_cell() {
    for delay_deg in [100.0, 120.0, 150.0, 170.0] {
        let delay_rad = f64::to_radians(delay_deg);
        for n in [720, 7200] {
            let peak_a = unit_shape(Shape::PhaseCut { delay_rad }, n).measures().dc.peak_a;
            let low_ratio = 1.0 - peak_a / delay_rad.sin();
            let half_cell_rad = std::f64::consts::PI / n as f64;
            let want = -half_cell_rad / delay_rad.tan();
            assert_absolute(low_ratio, want, half_cell_rad.powi(2), "second order in half a cell");
        }
    }
}

/// RMS and average of shapes whose jumps no ordinary grid has on its edges: pulses √D and D, a cut sine
/// √[(1 − a/π + sin 2a/(2π))/2] and (1 + cos a)/π, so crest and form factor.
#[test]
fn exact_default_grid_suits_the_jumps_of_the_shape() {
    let measured = |shape: Shape| {
        let synthesis = Synthesis::new(shape, Scale::RmsA(6.6));
        (synthesis.waveform().unwrap().measures().dc, synthesis.samples_per_period)
    };
    for (duty, n) in [(0.001, 8000), (0.25, 7200), (0.1, 7200), (0.003, 8000)] {
        let (measures, samples) = measured(Shape::Pulse { duty });
        assert_eq!(samples, n, "the edges of duty {duty} fall on whole cells there");
        assert_relative(measures.crest_factor().unwrap(), 1.0 / duty.sqrt(), 1e-12, ROUNDING);
        assert_relative(measures.form_factor().unwrap(), 1.0 / duty.sqrt(), 1e-12, ROUNDING);
    }
    for a in [0.123_456, 1.0, 1.570, 2.345_678] {
        let (measures, n) = measured(Shape::PhaseCut { delay_rad: a });
        let square = 0.5 * (1.0 - a / PI + (2.0 * a).sin() / (2.0 * PI));
        let form = square.sqrt() / ((1.0 + a.cos()) / PI);
        let cell = 2.0 * PI / n as f64;
        let why =
            "the jump misses the edge by a thousandth of a cell: one of 701 grids is that near";
        assert_relative(measures.form_factor().unwrap(), form, 4e-3 * cell, why);
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
    // What the average over 20 periods does not hold is the noise, 0.1/√1.01 of the whole; 19 · 7200
    // free values give its RMS to 1/√(2·19·7200) = 0.19 % in one standard deviation.
    let waveform = noisy(1);
    let mean = waveform.averaged_period();
    let mut square = 0.0;
    for period in waveform.periods_a().rows() {
        for (sample, average) in period.iter().zip(mean.samples_a()) {
            square += (sample - average).powi(2);
        }
    }
    let rms = (square / (19.0 * 7200.0)).sqrt();
    assert_relative(rms, 0.1 / 1.01_f64.sqrt(), 0.0096, "five standard deviations of the estimate");
}
