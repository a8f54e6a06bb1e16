//! Verdicts and set-bands of meters whose uncertainty has a closed form.

use jiff::civil::date;
use loopcrest::assess::instrument::{
    Connection, CorrectedDisplay, CorrectedReading, GainSpread, Instrument, PossibleCurrent,
    Reason, SetBand, StepCurrents, Suitability, Terms, Verdict,
};
use loopcrest::cited::Source;
use loopcrest::meter::{AccuracyLine, Bandwidth, Certificate, Detector, Sheet};
use loopcrest::regulator::{Band, Step};
use loopcrest::uncertainty::decision::Limits;
use loopcrest::waveform::{Coupling, Harmonic, Shape, TrueRms};

use crate::support::{agrees_as_printed, assert_absolute, assert_relative, unit_shape};

const DIGITS: &str = "ends are bracketed to 1e-9, digits are millionths of a millionth";

fn step(nominal_a: f64, low_a: f64, high_a: f64) -> Step {
    Step {
        number: 5,
        nominal: TrueRms::stated_a(nominal_a),
        band: Band::new(low_a, high_a).unwrap(),
        source: Source::entered("values of this test"),
        remark: None,
    }
}

fn currents(step: Step, shapes: &[Shape]) -> StepCurrents {
    let possible = shapes
        .iter()
        .map(|shape| PossibleCurrent {
            origin: format!("{shape:?}"),
            waveform: unit_shape(shape.clone(), 3600),
        })
        .collect();
    StepCurrents::new(step, Connection::Shorted, None, possible).unwrap()
}

fn third(ratio: f64) -> Shape {
    Shape::Harmonics(vec![Harmonic { order: 3, ratio, phase_rad: std::f64::consts::PI }])
}

/// An ideal meter with this accuracy.
fn accurate(detector: Detector, accuracy_ratio: f64) -> Sheet {
    let mut sheet = Sheet::ideal(detector);
    sheet.accuracy.lines = vec![AccuracyLine::new(40.0, 70.0, accuracy_ratio, 0.0)];
    sheet
}

fn judge(sheet: Sheet, currents: &StepCurrents) -> Verdict {
    let instrument = Instrument::new("meter", sheet, 60.0, None).unwrap();
    Verdict::new(&instrument, currents, &Terms::default()).unwrap()
}

const TRUE_RMS: Detector = Detector::TrueRms(Coupling::Dc);

/// ± 2 % rectangular in a band of ± 0.1 A about 6.6 A: P = 0.1/0.132 at best.
#[test]
fn exact_two_percent_cannot_prove_one_and_a_half() {
    let verdict = judge(accurate(TRUE_RMS, 0.02), &currents(step(6.6, 6.5, 6.7), &[Shape::Sine]));
    assert_eq!(verdict.suitability, Suitability::NotFit);
    assert_eq!(verdict.set_band, None);
    let centre = verdict.dead_centre.unwrap();
    assert_absolute(centre.conformance_probability, 0.1 / 0.132, 1e-6, "rest taken as 1e-6 of it");
    let [Reason::CannotProve { at_best, half_band_ratio, accuracy_ratio, .. }] =
        verdict.reasons.as_slice()
    else {
        panic!("{:?}", verdict.reasons);
    };
    assert_absolute(*at_best, 0.1 / 0.132, 1e-6, "as above");
    agrees_as_printed(100.0 * half_band_ratio, "1.5");
    agrees_as_printed(100.0 * accuracy_ratio.unwrap(), "2.0");
    let sentence = verdict.sentence();
    assert!(
        sentence.starts_with(
            "not fit: a meter of ±2.0 % cannot prove a band of ±1.5 % even reading dead centre"
        ),
        "{sentence}"
    );
    assert!(sentence.contains("75.8 %, less than 95.0 %"), "{sentence}");
}

/// A rectangle alone: D_high = high/(1 + a(2p − 1)), D_low = low/(1 − a(2p − 1)).
#[test]
fn exact_set_band_of_a_rectangle() {
    let verdict = judge(accurate(TRUE_RMS, 0.005), &currents(step(6.6, 6.4, 6.7), &[Shape::Sine]));
    assert_eq!(verdict.suitability, Suitability::Fit, "{}", verdict.sentence());
    let set_band = verdict.set_band.unwrap();
    let part = 0.005 * (2.0 * 0.95 - 1.0);
    assert_relative(set_band.high_a, 6.7 / (1.0 + part), 1e-8, DIGITS);
    assert_relative(set_band.low_a, 6.4 / (1.0 - part), 1e-8, DIGITS);
    let width = 6.7 / (1.0 + part) - 6.4 / (1.0 - part);
    assert_relative(set_band.kept_ratio, width / 0.3, 1e-6, "a difference of the two above");
}

/// A certificate alone is normal: D_high = high/(1 + z s), z = Φ⁻¹(0.95) = 1.644854.
#[test]
fn exact_set_band_of_a_certificate() {
    let mut sheet = accurate(TRUE_RMS, 0.0);
    sheet.certificate = Some(Certificate {
        number: "1".to_owned(),
        date: date(2026, 1, 1),
        due: None,
        expanded_ratio: 0.006,
        coverage_factor: 2.0,
    });
    let set_band = judge(sheet, &currents(step(6.6, 6.4, 6.7), &[Shape::Sine])).set_band.unwrap();
    let part = 1.644_853_627 * 0.003;
    assert_relative(set_band.high_a, 6.7 / (1.0 + part), 1e-8, DIGITS);
    assert_relative(set_band.low_a, 6.4 / (1.0 - part), 1e-8, DIGITS);
}

/// Without any uncertainty the set-band is the band, moved by the gain of the meter.
#[test]
fn exact_set_band_follows_the_gain() {
    let ideal = accurate(TRUE_RMS, 0.0);
    let of_sine = judge(ideal.clone(), &currents(step(6.6, 6.4, 6.7), &[Shape::Sine]));
    let set_band = of_sine.set_band.unwrap();
    assert_relative(set_band.low_a, 6.4, 1e-8, DIGITS);
    assert_relative(set_band.high_a, 6.7, 1e-8, DIGITS);
    // One pole at 540 Hz over that at 60 Hz, third harmonic of 20 %:
    // g² = (1 + h² (1 + 1/81)/(1 + 9/81))/(1 + h²).
    let slow = Sheet { bandwidth: Bandwidth::Poles(vec![540.0]), ..ideal };
    let verdict = judge(slow, &currents(step(6.6, 6.4, 6.7), &[third(0.2)]));
    let h2: f64 = 0.04;
    let gain = ((1.0 + h2 * (1.0 + 1.0 / 81.0) / (1.0 + 9.0 / 81.0)) / (1.0 + h2)).sqrt();
    assert_relative(verdict.gain.unwrap().middle_ratio(), gain, 1e-9, "a transform");
    let set_band = verdict.set_band.unwrap();
    assert_relative(set_band.low_a, 6.4 * gain, 1e-8, DIGITS);
    assert_relative(set_band.high_a, 6.7 * gain, 1e-8, DIGITS);
}

/// Third harmonic of 20 %, peaked: an average-responding meter is off by (1 − h/3)/√(1 + h²) − 1.
#[test]
fn exact_average_responding_meter_is_refused() {
    let sheet = accurate(Detector::AverageResponding(Coupling::Ac), 0.005);
    let verdict = judge(sheet, &currents(step(6.6, 6.4, 6.7), &[third(0.2), third(0.1)]));
    assert_eq!(verdict.suitability, Suitability::NotFit);
    let error = |h: f64| (1.0 - h / 3.0) / (1.0 + h * h).sqrt() - 1.0;
    let law = verdict.reasons.iter().find_map(|reason| match reason {
        Reason::LawError { low_ratio, high_ratio, .. } => Some((*low_ratio, *high_ratio)),
        _ => None,
    });
    let (low_ratio, high_ratio) = law.unwrap();
    let reason = "rectified mean on 3600 samples";
    assert_absolute(low_ratio, error(0.2), 1e-5, reason);
    assert_absolute(high_ratio, error(0.1), 1e-5, reason);
    agrees_as_printed(100.0 * error(0.2), "-8.48");
    let corrected = &verdict.corrected[0];
    assert_relative(corrected.nominal_shown_a, 6.6 * (1.0 + error(0.2)), 1e-5, reason);
    assert!(corrected.set_band.is_some(), "for that waveform alone it could be set");
    assert!(CorrectedDisplay::WARNING.contains("no substitute for a true-RMS instrument"));
}

/// The same meter on a sine is right, but with care: it is right for a sine only.
#[test]
fn exact_average_responding_meter_on_a_sine() {
    let sheet = accurate(Detector::AverageResponding(Coupling::Ac), 0.005);
    let verdict = judge(sheet, &currents(step(6.6, 6.4, 6.7), &[Shape::Sine]));
    assert_eq!(verdict.suitability, Suitability::WithCare, "{}", verdict.sentence());
    assert!(matches!(verdict.reasons.as_slice(), [Reason::OnlyTheseCurrents { .. }]));
}

/// What a displayed value means: D over the middle of the gains, u of the spread in it.
#[test]
fn exact_current_behind_a_display() {
    let sheet = accurate(TRUE_RMS, 0.01);
    let instrument = Instrument::new("meter", sheet.clone(), 60.0, None).unwrap();
    let sine = currents(step(6.6, 6.4, 6.7), &[Shape::Sine]);
    let readings = instrument.read_all(&sine.signals()).unwrap();
    let reading = CorrectedReading::new(&sheet, &readings, 60.0, &Terms::default())
        .unwrap()
        .with_gain(GainSpread { low_ratio: 0.97, high_ratio: 0.99 });
    let band = Limits::between(6.4, 6.7).unwrap();
    let shown = reading.at(6.468, &band).unwrap();
    assert_relative(shown.true_a, 6.6, 1e-12, "6.468/0.98");
    let accuracy_a: f64 = 0.01 * 6.468 / 0.98 / 3.0_f64.sqrt();
    let gain_a = 6.468 / (0.98 * 0.98) * 0.01 / 3.0_f64.sqrt();
    let want_a = accuracy_a.hypot(gain_a).hypot(0.5e-12);
    assert_relative(shown.standard_uncertainty_a, want_a, 1e-12, "closed form");
    // Two nearly equal rectangles make a triangle: k = √6 (1 − √(1 − p)) at equality.
    agrees_as_printed(shown.expanded.coverage_factor, "1.90");
    let set_band = SetBand::new(&reading, &band, 0.95).unwrap().unwrap();
    assert!(set_band.contains(6.42) && !set_band.contains(6.6));
}
