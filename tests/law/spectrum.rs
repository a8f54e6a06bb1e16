//! What must hold for every spectrum.

use loopcrest::spectrum::{Spectrum, band_limited};
use loopcrest::waveform::{Harmonic, Noise, Scale, Shape, Synthesis, Waveform};
use proptest::prelude::*;

use crate::support::{assert_absolute, assert_relative, unit_shape};

fn noisy_period(seed: u64, n: usize, offset_ratio: f64) -> Waveform {
    Synthesis {
        noise: Some(Noise { ratio: 0.5, seed }),
        offset_ratio,
        samples_per_period: n,
        ..Synthesis::new(Shape::Triangle, Scale::RmsA(6.6))
    }
    .waveform()
    .unwrap()
}

proptest! {
    #[test]
    fn law_parseval(seed in any::<u64>(), n in 16_usize..600, offset_ratio in -1.0..1.0) {
        let waveform = noisy_period(seed, n, offset_ratio);
        assert_relative(
            Spectrum::of(&waveform).rms_a(),
            waveform.measures().dc.rms_a,
            1e-11,
            "rounding of the transform",
        );
    }

    #[test]
    fn law_reconstruction_gives_the_samples_back(seed in any::<u64>(), n in 16_usize..600) {
        let waveform = noisy_period(seed, n, 0.3);
        let back = Spectrum::of(&waveform).waveform(n).unwrap();
        for (a, b) in waveform.samples_a().iter().zip(back.samples_a()) {
            assert_absolute(*b, *a, 1e-10, "rounding of two transforms of values around 10 A");
        }
    }

    #[test]
    fn law_lines_are_found_as_given(
        order in 2_usize..100, ratio in 0.001..1.0, phase_rad in -3.1..3.1,
    ) {
        let shape = Shape::Harmonics(vec![Harmonic { order, ratio, phase_rad }]);
        let spectrum = Spectrum::of(&unit_shape(shape, 720));
        let fundamental = spectrum.line(1).unwrap();
        let line = spectrum.line(order).unwrap();
        assert_relative(line.rms_a / fundamental.rms_a, ratio, 1e-11, "rounding");
        assert_absolute(line.phase_rad, phase_rad, 1e-11 / ratio, "rounding against the line");
        assert_absolute(fundamental.phase_rad, 0.0, 1e-12, "rounding");
        assert_relative(spectrum.thd_ratio(200).unwrap(), ratio, 1e-10, "rounding");
    }
}

/// The harmonic bins of the transform over all periods equal the transform of the averaged period.
#[test]
fn law_averaged_period_gives_the_bins_of_the_long_transform() {
    let (n, periods) = (256, 7);
    let waveform = Synthesis {
        noise: Some(Noise { ratio: 0.2, seed: 3 }),
        periods,
        samples_per_period: n,
        ..Synthesis::new(Shape::PhaseCut { delay_rad: 1.0 }, Scale::RmsA(5.0))
    }
    .waveform()
    .unwrap();
    let spectrum = Spectrum::of(&waveform);
    let total = waveform.samples_a().len() as f64;
    for order in [1, 2, 3, 17, 100, 127] {
        let (mut re, mut im) = (0.0, 0.0);
        for (k, i_a) in waveform.samples_a().iter().enumerate() {
            let angle = std::f64::consts::TAU * order as f64 * (k as f64 + 0.5) / n as f64;
            re += i_a * angle.sin();
            im += i_a * angle.cos();
        }
        let direct_rms_a = 2.0 / total * re.hypot(im) / std::f64::consts::SQRT_2;
        let line = spectrum.line(order).unwrap();
        assert_absolute(line.rms_a, direct_rms_a, 1e-12, "rounding of a direct sum");
        let direct_phase_rad = im.atan2(re);
        let turn = (line.phase_rad - direct_phase_rad).sin();
        assert_absolute(turn, 0.0, 1e-9, "rounding of a direct sum against a small line");
    }
}

#[test]
fn law_lines_beyond_the_grid_are_absent() {
    let spectrum = Spectrum::of(&unit_shape(Shape::Sine, 32));
    assert_eq!(spectrum.highest_order(), 15);
    assert!(spectrum.line(0).is_none());
    assert!(spectrum.line(16).is_none());
    assert!(Spectrum::of(&unit_shape(Shape::Square, 64)).waveform(32).is_err());
    assert!(band_limited(&Synthesis::new(Shape::Square, Scale::RmsA(1.0)), 3600).is_err());
    assert!(band_limited(&Synthesis::new(Shape::Square, Scale::RmsA(1.0)), 0).is_err());
}

/// Whatever order is asked for: what the grid holds is given, nothing overflows and nothing hangs.
#[test]
fn law_orders_without_end_are_those_of_the_grid() {
    let waveform = unit_shape(Shape::Triangle, 64);
    let spectrum = Spectrum::of(&waveform);
    assert_eq!(spectrum.lines(1..=usize::MAX).count(), 31);
    assert_eq!(spectrum.lines(usize::MAX..=usize::MAX).count(), 0);
    assert_eq!(spectrum.thd_ratio(usize::MAX), spectrum.thd_ratio(31));
    let limited = spectrum.clone().band_limited(usize::MAX);
    assert!(limited.lines(1..=31).eq(spectrum.lines(1..=31)), "nothing is above");
    assert!(spectrum.waveform(usize::MAX).is_err());
    let huge = Synthesis {
        samples_per_period: usize::MAX,
        ..Synthesis::new(Shape::Square, Scale::RmsA(1.0))
    };
    assert!(band_limited(&huge, 5).is_err());
    assert!(band_limited(&Synthesis { samples_per_period: 0, ..huge }, 5).is_err());
    assert!(band_limited(&Synthesis::new(Shape::Sine, Scale::RmsA(1.0)), usize::MAX).is_err());
}

/// A waveform whose maker vouches for fewer orders than its grid could hold shows only those; its RMS is
/// that of all its samples all the same.
#[test]
fn law_orders_beyond_what_the_maker_vouches_for_are_absent() {
    let waveform = unit_shape(Shape::Square, 1024).with_highest_order(20).scaled(2.0).unwrap();
    let spectrum = Spectrum::of(&waveform);
    assert_eq!((spectrum.highest_order(), spectrum.lines(1..=50).count()), (20, 20));
    assert!(spectrum.line(21).is_none() && spectrum.line(20).is_some());
    assert_eq!(spectrum.thd_ratio(50), spectrum.thd_ratio(20));
    assert_relative(spectrum.rms_a(), 2.0, 1e-12, "Parseval over the whole grid");
    assert_eq!(waveform.averaged_period().highest_order(), 20);
    assert_eq!(unit_shape(Shape::Square, 32).with_highest_order(99).highest_order(), 15);
}

/// Over several periods the lines hold what repeats; with nothing else in the current, Parseval holds for
/// the whole record.
#[test]
fn law_rms_in_time_is_rms_of_the_lines_over_several_periods() {
    for (shape, offset_ratio) in
        [(Shape::PhaseCut { delay_rad: 1.9 }, 0.0), (Shape::HalfWave, -0.3), (Shape::Triangle, 0.5)]
    {
        for periods in [1, 2, 7] {
            let synthesis = Synthesis {
                offset_ratio,
                periods,
                samples_per_period: 360,
                ..Synthesis::new(shape.clone(), Scale::RmsA(6.6))
            };
            let waveform = synthesis.waveform().unwrap();
            let lines_a = Spectrum::of(&waveform).rms_a();
            assert_relative(lines_a, waveform.measures().dc.rms_a, 1e-12, "rounding");
        }
    }
}

/// Noise is added after the band is limited: in the size asked for, and not the same in every period.
#[test]
fn law_noise_outlives_the_band_limit() {
    let noisy = Synthesis {
        noise: Some(Noise { ratio: 0.1, seed: 5 }),
        periods: 20,
        ..Synthesis::new(Shape::Square, Scale::RmsA(6.6))
    };
    let waveform = band_limited(&noisy, 25).unwrap();
    let mean = waveform.averaged_period();
    let mut square = 0.0;
    for period in waveform.periods_a().rows() {
        for (sample, average) in period.iter().zip(mean.samples_a()) {
            square += (sample - average).powi(2);
        }
    }
    let noise_a = (square / (19.0 * 7200.0)).sqrt();
    // Ten percent of the whole square's RMS, which is the square root of its power beyond order 25
    // larger than what is left: the odd orders h to 25 hold 8/π² Σ 1/h² of it.
    let kept: f64 =
        (1..=25).step_by(2).map(|h| 8.0 / (std::f64::consts::PI * f64::from(h)).powi(2)).sum();
    let want_a = 6.6 * 0.1 / (kept + 0.01).sqrt();
    assert_relative(noise_a, want_a, 0.0096, "five deviations of 1/√(2·19·7200) = 0.19 % each");
}

/// The grid of a fast current is as fine as any: nothing depends on the frequency but the time axis.
#[test]
fn law_band_limit_works_at_every_frequency() {
    let at = |frequency_hz| {
        let shape = Shape::ClippedSine { level_ratio: 0.6, sharpness: 9.0 };
        let synthesis = Synthesis { frequency_hz, ..Synthesis::new(shape, Scale::RmsA(6.6)) };
        band_limited(&synthesis, 40).unwrap()
    };
    let slow = at(60.0);
    for frequency_hz in [1.0, 8_700.0, 50_000.0, 100_000.0] {
        let fast = at(frequency_hz);
        assert_eq!(fast.samples_a(), slow.samples_a());
        assert_relative(fast.frequency_hz(), frequency_hz, 1e-12, "one division");
    }
}
