//! No input makes a waveform or a shape panic; wrong ones are named.

use loopcrest::error::ErrorKind;
use loopcrest::meter::Detector;
use loopcrest::spectrum::{Spectrum, band_limited};
use loopcrest::waveform::{Coupling, Harmonic, Noise, RingDown, Scale, Shape, Synthesis, Waveform};
use proptest::prelude::*;

#[test]
fn law_bad_samples_are_named() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e10, -1e300] {
        for at in [0, 9, 31] {
            let mut samples_a = vec![1.0; 32];
            samples_a[at] = bad;
            let error = Waveform::new(samples_a, 32, 1e-3).unwrap_err();
            assert!(matches!(error.kind(), ErrorKind::OutOfRange { .. }));
            let message = error.to_string();
            assert!(message.contains(&format!("sample {} of 32", at + 1)), "{message}");
            assert!(message.contains("allowed is -1000000000 to 1000000000 A"), "{message}");
        }
    }
}

#[test]
fn law_bad_grids_are_refused() {
    let refused = |samples: usize, per_period: usize, interval_s: f64| {
        Waveform::new(vec![0.0; samples], per_period, interval_s).unwrap_err().to_string()
    };
    assert!(refused(0, 32, 1e-3).contains("0 samples are not a whole number of periods"));
    assert!(refused(1, 1, 1e-3).contains("samples per period is 1"));
    assert!(refused(33, 32, 1e-3).contains("33 samples"));
    assert!(refused(32, 0, 1e-3).contains("samples per period is 0"));
    assert!(refused(32, 32, 0.0).contains("sample interval is 0 s"));
    assert!(refused(32, 32, f64::NAN).contains("sample interval is NaN"));
    // Two periods of different length: 40 + 41 samples are not whole periods of either.
    assert!(refused(81, 40, 1e-3).contains("81 samples"));
    assert!(refused(81, 41, 1e-3).contains("81 samples"));
    // A claim of 10^9 samples per period is refused before anything is allocated.
    assert!(refused(32, 1_000_000_000, 1e-6).contains("samples per period is 1000000000"));
}

/// Zero and constant currents are currents; ratios that do not exist are absent, not 0 or NaN.
#[test]
fn law_zero_and_constant_currents_have_no_false_ratios() {
    let zero = Waveform::new(vec![0.0; 64], 64, 1e-4).unwrap();
    let measures = zero.measures();
    assert!(measures.dc.crest_factor().is_none() && measures.ac.form_factor().is_none());
    assert!(Spectrum::of(&zero).thd_ratio(40).is_none());
    assert!(Spectrum::of(&zero).distortion_ratio().is_none());
    assert!(zero.scaled_to_rms(6.6, Coupling::Ac).is_err());
    for detector in Detector::ALL {
        assert!(detector.read(&measures).error_ratio(zero.true_rms(Coupling::Dc)).is_none());
    }
    let constant = Waveform::new(vec![5.0; 64], 64, 1e-4).unwrap();
    let measures = constant.measures();
    assert!(measures.ac.crest_factor().is_none());
    assert_eq!(measures.dc.crest_factor(), Some(1.0));
    assert_eq!(measures.mean_a, 5.0);
    assert!(constant.scaled_to_rms(6.6, Coupling::Ac).is_err());
}

/// 6.6 has no exact binary form, so the mean of many is off by some rounding: no alternating current.
#[test]
fn law_a_constant_that_rounds_is_a_constant() {
    for value_a in [6.6, -0.1, 1e-9, 123.456] {
        for n in [64, 7200, 300_000] {
            let constant = Waveform::new(vec![value_a; n], n, 1e-6).unwrap();
            let measures = constant.measures();
            assert_eq!((measures.ac.rms_a, measures.ac.arv_a, measures.ac.peak_a), (0.0, 0.0, 0.0));
            assert_eq!(measures.mean_a, value_a);
            assert!(measures.ac.crest_factor().is_none() && measures.ac.form_factor().is_none());
            assert_eq!(measures.dc.crest_factor(), Some(1.0));
            let spectrum = Spectrum::of(&constant);
            assert!(spectrum.thd_ratio(40).is_none() && spectrum.distortion_ratio().is_none());
            assert!(constant.scaled_to_rms(6.6, Coupling::Ac).is_err());
        }
    }
}

/// Currents whose squares no number holds have no ratios; a negative RMS is nothing to scale to.
#[test]
fn law_lost_squares_and_negative_targets_are_told() {
    let tiny: Vec<f64> = (0..64).map(|k| if k < 32 { 1e-200 } else { -1e-200 }).collect();
    let tiny = Waveform::new(tiny, 64, 1e-4).unwrap().measures();
    for coupled in [tiny.ac, tiny.dc] {
        assert!(coupled.form_factor().is_none() && coupled.crest_factor().is_none(), "{coupled:?}");
    }
    let sine = Synthesis::new(Shape::Sine, Scale::RmsA(1.0)).waveform().unwrap();
    for target_a in [-6.6, f64::NAN, f64::INFINITY] {
        let message = sine.scaled_to_rms(target_a, Coupling::Dc).unwrap_err().to_string();
        assert!(message.contains("RMS to scale to"), "{message}");
    }
}

#[test]
fn law_bad_shapes_are_refused() {
    let refused =
        |shape: Shape| Synthesis::new(shape, Scale::RmsA(6.6)).waveform().unwrap_err().to_string();
    let harmonic = |order, ratio| Harmonic { order, ratio, phase_rad: 0.0 };
    assert!(refused(Shape::Pulse { duty: 0.0 }).contains("allowed is 0.001 to 1"));
    assert!(refused(Shape::PhaseCut { delay_rad: 3.2 }).contains("deg"));
    assert!(refused(Shape::Harmonics(vec![harmonic(1, 0.1)])).contains("harmonic order is 1"));
    let twice = Shape::Harmonics(vec![harmonic(3, 0.1), harmonic(3, 0.2)]);
    assert!(refused(twice).contains("harmonic 3 is given twice"));
    let huge =
        Synthesis { periods: 1_000_000_000, ..Synthesis::new(Shape::Sine, Scale::RmsA(1.0)) };
    assert!(huge.waveform().unwrap_err().to_string().contains("number of samples"));
    let overflowing = Synthesis { periods: usize::MAX, ..huge };
    assert!(overflowing.waveform().is_err());
}

proptest! {
    /// Whatever numbers are given: a waveform or an error, never a panic, never a NaN.
    #[test]
    fn law_no_number_makes_a_synthesis_panic(
        numbers in prop::array::uniform12(prop::num::f64::ANY), kind in 0_usize..10,
        order in any::<usize>(), periods in 0_usize..3, samples_per_period in 0_usize..100,
    ) {
        let [a, b, c, d, e, f, g, h, i, j, k, l] = numbers;
        let shape = match kind {
            0 => Shape::Harmonics(vec![Harmonic { order, ratio: a, phase_rad: b }]),
            1 => Shape::ClippedSine { level_ratio: a, sharpness: b },
            2 => Shape::PhaseCut { delay_rad: a },
            3 => Shape::Pulse { duty: a },
            4 => Shape::Trapezoid { flat_ratio: a },
            5 => Shape::HalfWave,
            6 => Shape::Triangle,
            7 => Shape::Square,
            8 => Shape::Block120,
            _ => Shape::Sine,
        };
        let synthesis = Synthesis {
            shape,
            scale: if c > 0.0 { Scale::RmsA(d) } else { Scale::PeakA(d) },
            offset_ratio: e,
            noise: (f > 0.0).then_some(Noise { ratio: g, seed: 1 }),
            ring_down: (h > 0.0).then_some(RingDown {
                ratio: i, order: j, decay_rad: k, start_rad: l,
            }),
            frequency_hz: c.abs(),
            periods,
            samples_per_period,
        };
        for made in [
            synthesis.waveform(),
            band_limited(&synthesis, order),
            band_limited(&synthesis, order % 50),
        ] {
            let Ok(waveform) = made else { continue };
            prop_assert!(waveform.samples_a().iter().all(|sample| sample.is_finite()));
            let spectrum = Spectrum::of(&waveform);
            prop_assert!(spectrum.lines(1..=order).count() <= spectrum.highest_order());
            prop_assert!(spectrum.thd_ratio(order).is_none_or(f64::is_finite));
            prop_assert!(spectrum.distortion_ratio().is_none_or(f64::is_finite));
            let limited = spectrum.band_limited(order);
            prop_assert!(limited.rms_a().is_finite());
            if let Ok(back) = limited.waveform(order) {
                prop_assert!(back.samples_per_period() == order);
            }
        }
        let endless = Synthesis { samples_per_period: usize::MAX, periods: 1, ..synthesis };
        prop_assert!(endless.waveform().is_err() && band_limited(&endless, 5).is_err());
    }

    #[test]
    fn law_no_samples_make_the_measures_panic(
        samples_a in prop::collection::vec(-1e9..1e9, 16..200),
    ) {
        let n = samples_a.len();
        let waveform = Waveform::new(samples_a, n, 1e-4).unwrap();
        let measures = waveform.measures();
        prop_assert!(measures.dc.rms_a.is_finite() && measures.ac.arv_a.is_finite());
        prop_assert!(Spectrum::of(&waveform).rms_a().is_finite());
    }
}
