//! The same distortion of 20 % with three different errors: what decides is the phase.

use loopcrest::assess::Judgement;
use loopcrest::lamp::{LampLaw, LifeChange};
use loopcrest::meter::{Detector, Meter};
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::spectrum::Spectrum;
use loopcrest::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis};

use crate::support::{assert_absolute, assert_relative, unit_shape};

const N: usize = 720_000;

fn with_third(ratio: f64, phase_deg: f64) -> Shape {
    Shape::Harmonics(vec![Harmonic { order: 3, ratio, phase_rad: phase_deg.to_radians() }])
}

fn average_error_percent(ratio: f64, phase_deg: f64) -> f64 {
    let waveform = unit_shape(with_third(ratio, phase_deg), N);
    let reading = Detector::AverageResponding(Coupling::Ac).read(&waveform.measures());
    100.0 * reading.error_ratio(waveform.true_rms(Coupling::Ac)).unwrap()
}

/// e = (1 ± h/3)/√(1 + h²) − 1 for phases 0 and 180 degrees, as long as h ≤ 1/3 (closed form).
#[test]
fn exact_average_error_at_phases_0_and_180() {
    for h in [0.05, 0.1, 0.2, 0.3] {
        for (phase_deg, sign) in [(0.0, 1.0), (180.0, -1.0)] {
            let want = 100.0 * ((1.0 + sign * h / 3.0) / f64::sqrt(1.0 + h * h) - 1.0);
            assert_absolute(
                average_error_percent(h, phase_deg),
                want,
                1e-7,
                "midpoint rule on 720,000 samples",
            );
        }
    }
}

#[test]
fn exact_same_distortion_three_errors() {
    let rounded = "the values are rounded to two decimals";
    for (phase_deg, want) in [(180.0, -8.48), (0.0, 4.60), (90.0, -0.16)] {
        assert_absolute(average_error_percent(0.2, phase_deg), want, 5e-3, rounded);
        let thd = Spectrum::of(&unit_shape(with_third(0.2, phase_deg), N)).thd_ratio(50).unwrap();
        assert_relative(thd, 0.2, 1e-9, "the harmonic is given");
    }
}

#[test]
fn exact_crest_factor_and_peak_meter_of_the_peaked_case() {
    let waveform = unit_shape(with_third(0.2, 180.0), N);
    let crest = waveform.measures().ac.crest_factor().unwrap();
    // Peak 1 + h, RMS √((1 + h²)/2).
    assert_relative(crest, 1.2 / f64::sqrt(0.52), 1e-9, "the peak lies half a cell away at most");
    assert_absolute(100.0 * (crest / f64::sqrt(2.0) - 1.0), 17.67, 5e-3, "rounded");
}

/// A step trimmed to 6.60 A by an average-responding meter on the peaked case carries 7.21 A, with
/// 1.73 times the light and 0.12 of the life of a lamp (exponents 3.4, −13, 0.55): the program says the
/// first two, and of the life only that it is much shorter, for the law is not credible there.
#[test]
fn exact_chain_from_wrong_meter_to_lamp() {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let step = table.top();
    let waveform = Synthesis::new(with_third(0.2, 180.0), Scale::RmsA(6.6)).waveform().unwrap();
    let meter = Meter::ideal("clamp", Detector::AverageResponding(Coupling::Ac));
    let law = LampLaw::default();
    let judgement = Judgement::new(&meter, step, &waveform.measures(), &law, step.nominal).unwrap();
    let trimmed = judgement.trimmed.unwrap();
    assert_absolute(trimmed.true_rms.a(), 7.21, 5e-3, "rounded");
    assert_absolute(trimmed.effect.light_ratio.unwrap(), 1.73, 5e-3, "rounded");
    assert_eq!(trimmed.effect.life, LifeChange::MuchShorter);
    // A law that were credible as far as that says 0.12.
    let mut far = law;
    far.credible_voltage_ratio.value = 0.5;
    let far = far.effect(trimmed.true_rms, step.nominal, step.nominal).unwrap();
    let LifeChange::Ratio(life) = far.life else { panic!("within the range: {:?}", far.life) };
    assert_absolute(life, 0.12, 5e-3, "rounded");
}
