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

/// Square wave: amplitude 4/(π h) for odd orders, nothing for even ones (closed form).
#[test]
fn law_lines_of_a_square_wave() {
    let spectrum = Spectrum::of(&unit_shape(Shape::Square, 7200));
    for order in 1..20 {
        let amplitude_a = spectrum.line(order).unwrap().rms_a * std::f64::consts::SQRT_2;
        if order % 2 == 1 {
            let want = 4.0 / (std::f64::consts::PI * order as f64);
            assert_relative(amplitude_a, want, 2e-5, "folding: (π h/N)²/6 on 7200 samples");
        } else {
            assert_absolute(amplitude_a, 0.0, 1e-12, "symmetry");
        }
    }
}

/// The sampled corner of a square fakes no crest factor once its band is limited: the overshoot is
/// the Gibbs overshoot 2/π Si(π) = 1.1790 (closed form), at any order.
#[test]
fn law_band_limited_square_overshoots_by_gibbs() {
    let square = Synthesis::new(Shape::Square, Scale::PeakA(1.0));
    let waveform = band_limited(&square, 99).unwrap();
    let spectrum = Spectrum::of(&waveform);
    assert_absolute(spectrum.line(101).unwrap().rms_a, 0.0, 1e-12, "above the limit");
    // Fundamental 4/π of the square's height: peak over height is peak over (π/4 · fundamental).
    let height =
        spectrum.fundamental_rms_a() * std::f64::consts::SQRT_2 * std::f64::consts::FRAC_PI_4;
    let overshoot = waveform.measures().dc.peak_a / height;
    assert_absolute(overshoot, 1.1790, 1e-3, "the limit of the overshoot for many orders");
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
