//! What the load calculation must give by arithmetic alone.

use loopcrest::regulator::Band;
use loopcrest::series::{
    Conductor, Draw, LoadCalculation, LoadDiagnosis, LoadItem, LoadMargin, MeasuredLoad,
    RectifierFixture, RegulatorSizes, TransformerLoss,
};
use loopcrest::waveform::TrueRms;

use crate::support::{assert_absolute, assert_relative};

fn of(items: Vec<LoadItem>) -> LoadCalculation {
    LoadCalculation { current_rms_a: 6.6, items, cable: Vec::new() }
}

fn lamps(count: u32, power_w: f64) -> LoadItem {
    LoadItem { name: "lamps".into(), count, draw: Draw::Lamp { power_w }, loss: None }
}

fn electronics(count: u32, active_w: f64, power_factor: f64) -> LoadItem {
    let draw = Draw::Electronic { active_w, power_factor };
    LoadItem { name: "electronics".into(), count, draw, loss: None }
}

/// 300 W of lamps and 400 W at 0.8 (500 VA, 300 var): numbers 800 VA, phasors √(700² + 300²).
#[test]
fn exact_phasor_sum_lies_below_the_sum_of_numbers() {
    let sum = of(vec![lamps(3, 100.0), electronics(4, 100.0, 0.8)]).sum().unwrap();
    assert_relative(sum.apparent_va(), 800.0, 1e-14, "rounding");
    assert_relative(sum.phasor_va().unwrap(), 700.0_f64.hypot(300.0), 1e-14, "rounding");
    assert_relative(sum.power_factor().unwrap(), 700.0 / 700.0_f64.hypot(300.0), 1e-14, "rounding");
    let resistive = of(vec![lamps(3, 100.0)]).sum().unwrap();
    assert_relative(resistive.phasor_va().unwrap(), resistive.apparent_va(), 1e-14, "no angle");
}

/// What still fits fills the tap exactly, and one more does not.
#[test]
fn exact_what_still_fits_fills_the_tap() {
    let mut fixture = lamps(20, 200.0);
    fixture.loss = Some(TransformerLoss::PowerW(22.0));
    let calculation = of(vec![fixture.clone()]);
    let margin = LoadMargin::new(calculation.sum().unwrap(), 10e3, 0.75).unwrap();
    assert_relative(margin.spare_va(), 7500.0 - 20.0 * 222.0, 1e-14, "rounding");
    let more = margin.spare_count(&fixture).unwrap();
    assert_eq!(more, 13, "3060 VA over 222 VA");
    let r_ohm_per_m =
        Conductor::named("8awg-stranded").unwrap().resistance_ohm_per_m(25.0).unwrap();
    let length_m = margin.spare_length_m(r_ohm_per_m).unwrap();
    assert_relative(length_m * r_ohm_per_m * 6.6 * 6.6, margin.spare_va(), 1e-14, "rounding");
    let full = LoadMargin::new(of(vec![lamps(50, 200.0)]).sum().unwrap(), 10e3, 0.75).unwrap();
    assert_eq!((full.spare_count(&fixture), full.spare_length_m(r_ohm_per_m)), (None, None));
    assert_eq!(full.smallest_tap(), Some(1.0));
}

#[test]
fn exact_sizes_cover_the_load_or_none_does() {
    let sizes = RegulatorSizes::default();
    assert_eq!(sizes.smallest_for(7_500.0), Some(7_500.0));
    assert_eq!(sizes.smallest_for(7_500.1), Some(10_000.0));
    assert_eq!(sizes.smallest_for(70_001.0), None);
    let own = RegulatorSizes::entered(vec![5e3, 2.5e3]).unwrap();
    assert_eq!(own.smallest_for(1.0), Some(2.5e3));
    assert!(RegulatorSizes::entered(Vec::new()).is_err());
    assert!(RegulatorSizes::entered(vec![-1.0]).is_err());
}

/// The cases the published sheet does not print, and the two thresholds of ours, edges included.
#[test]
fn exact_diagnosis_of_every_kind() {
    let band = Band::new(6.40, 6.70).unwrap();
    let at = |current_a: f64, apparent_va: f64, calculated_va: f64| {
        let current = TrueRms::stated_a(current_a);
        let measured = MeasuredLoad::new(current, apparent_va / current_a).unwrap();
        measured.diagnose(&band, calculated_va, 10e3)
    };
    assert_eq!(at(6.6, 8_499.0, 10e3), LoadDiagnosis::PartialShort);
    assert_eq!(at(6.6, 8_501.0, 10e3), LoadDiagnosis::Satisfactory);
    assert_eq!(at(6.6, 5_749.0, 5e3), LoadDiagnosis::Satisfactory);
    assert_eq!(at(6.6, 5_751.0, 5e3), LoadDiagnosis::MoreThanCalculated);
    assert_eq!(at(6.8, 5_000.0, 5e3), LoadDiagnosis::RegulatorHigh);
    assert_eq!(at(6.2, 5_000.0, 5e3), LoadDiagnosis::RegulatorLow);
    assert_eq!(at(6.2, 9_000.0, 11e3), LoadDiagnosis::Overloaded);
    assert_eq!(at(6.2, 11_000.0, 9e3), LoadDiagnosis::Overloaded);
}

#[test]
fn exact_values_out_of_bounds_are_refused_by_name() {
    for (item, said) in [
        (lamps(1, -5.0), "power of one piece"),
        (electronics(1, 40.0, 1.5), "power factor"),
        (electronics(1, 40.0, f64::NAN), "power factor"),
    ] {
        let error = of(vec![item]).sum().unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
    assert!(LoadMargin::new(of(Vec::new()).sum().unwrap(), 10e3, 0.0).is_err());
    assert_absolute(of(Vec::new()).sum().unwrap().apparent_va(), 0.0, 0.0, "nothing is nothing");
}

/// The sum of nothing is shown as 0, without a sign.
#[test]
fn exact_nothing_is_zero_without_a_sign() {
    let sum = of(Vec::new()).sum().unwrap();
    let parts = [sum.lamp_w, sum.loss_w, sum.cable_ohm, sum.cable_w, sum.electronic_va];
    let parts = parts.into_iter().chain([sum.active_w.unwrap(), sum.reactive_var.unwrap()]);
    parts.for_each(|part| assert!(part == 0.0 && part.is_sign_positive(), "{sum:?}"));
}

/// A rectifier fixture on a sine: made for its power it takes it; without a path its power factor is
/// that of a square voltage on a sine current, 2√2/π.
#[test]
fn exact_rectifier_takes_its_power_from_a_sine() {
    let fixture = RectifierFixture::taking(60.0, 6.6);
    assert_relative(fixture.power_w(6.6), 60.0, 1e-14, "rounding");
    let bare = RectifierFixture { path_ohm: 0.0, ..fixture };
    let want = 2.0 * std::f64::consts::SQRT_2 / std::f64::consts::PI;
    assert_relative(bare.sine_power_factor(6.6), want, 1e-14, "rounding");
    assert!(fixture.sine_power_factor(6.6) > want, "a resistance brings it nearer to 1");
}
