//! Parts of a field against closed forms.

use loopcrest::regulator::{Load, ResistiveLoad, ResonantRegulator, SolveOptions};
use loopcrest::series::{
    ApparentFixture, CableRun, ConstantPowerFixture, Field, FieldFault, FieldLoad, FilamentLamp,
    FixtureGroup, FixtureKind, IsolatingTransformer, LampsOut, LampsOutEstimate, LampsOutPoint,
    LampsOutShape, LampsOutSweep, MeasuredShape, RectifierFixture, ShapeQuantity,
};

use crate::support::fields::{bare_transformer, generic, hold, lamps, reference_field, steps};
use crate::support::{assert_absolute, assert_relative};

const ROUNDING: &str = "a few operations in double precision";

/// R = r [1 + α (T − T_ref)] l: 0.809 ohm/kft at 75 °C is 0.6783 at 25 °C (facts of NEC chapter 9,
/// table 8, and its note).
#[test]
fn exact_cable_resistance_follows_its_temperature() {
    let kft_m = 304.8;
    let run = CableRun {
        name: "feeder".to_owned(),
        resistance_ohm_per_m: 0.809 / kft_m,
        reference_degc: 75.0,
        temperature_coefficient_per_k: 0.00323,
        length_m: kft_m,
        temperature_degc: 25.0,
        inductance_h_per_m: None,
    };
    assert_absolute(run.resistance_ohm(), 0.6783, 5e-5, "half of the last printed digit");
    assert_eq!(run.inductance_h(), None);
}

/// V ∝ I^(1/0.55): at half of the current a lamp has 2^-0.818 of its resistance.
#[test]
fn exact_filament_resistance_is_a_power_of_its_current() {
    let lamp = FilamentLamp::new(200.0, 6.6).unwrap();
    assert_relative(lamp.resistance_ohm(6.6), 200.0 / 43.56, 1e-14, ROUNDING);
    let ratio = lamp.resistance_ohm(3.3) / lamp.resistance_ohm(6.6);
    assert_relative(ratio, 0.5_f64.powf(0.45 / 0.55), 1e-14, ROUNDING);
}

/// P/I² above the least current, a resistance below; Q/P = tan(arccos 0.8) = 0.75.
#[test]
fn exact_constant_power_is_kept_down_to_the_least_current() {
    let fixture = ConstantPowerFixture::new(40.0, 0.8).unwrap();
    assert_relative(fixture.resistance_ohm(4.0), 2.5, 1e-14, ROUNDING);
    assert_relative(fixture.resistance_ohm(0.5), 10.0, 1e-14, ROUNDING);
    assert_relative(fixture.reactance_ratio(), 0.75, 1e-14, ROUNDING);
    // 40 VA of unknown power factor as a resistance: S/I².
    let apparent = ApparentFixture::new(40.0).unwrap();
    assert_relative(apparent.resistance_ohm(4.0), 2.5, 1e-14, ROUNDING);
    assert_relative(apparent.resistance_ohm(0.5), 10.0, 1e-14, ROUNDING);
}

/// Values of the design notes at the reference size; P/I and P/I² away from it.
#[test]
fn exact_generic_transformer_scales_with_power_and_current() {
    let large = IsolatingTransformer::generic(200.0, 6.6, 6.6, 60.0).unwrap();
    let values = [large.knee_rms_v, large.linear_a, large.power_a, large.core_loss_ohm];
    for (got, want) in values.into_iter().zip([60.0, 0.15, 0.5, 150.0]) {
        assert_relative(got, want, 1e-14, ROUNDING);
    }
    let loop_20_a = IsolatingTransformer::generic(200.0, 20.0, 6.6, 60.0).unwrap();
    let current: f64 = 20.0 / 6.6;
    assert_relative(loop_20_a.knee_rms_v, 60.0 / current, 1e-14, ROUNDING);
    assert_relative(loop_20_a.core_loss_ohm, 150.0 / current.powi(2), 1e-14, ROUNDING);
    assert_relative(loop_20_a.linear_a, 0.15 * current, 1e-14, ROUNDING);
    assert_relative(loop_20_a.turns_ratio(), 6.6 / 20.0, 1e-14, ROUNDING);
    // λ_k = √2 V/ω: the same knee voltage at 50 Hz is more flux.
    let at_50_hz = IsolatingTransformer::generic(200.0, 6.6, 6.6, 50.0).unwrap();
    assert_relative(at_50_hz.knee_wb() / large.knee_wb(), 1.2, 1e-14, ROUNDING);
}

/// A transformer for 20 A loops in a 6.6 A loop gives a third of the current, one for 6.6 A loops
/// in a 20 A loop three times as much, each less what its core takes: R_c/(R_c + R).
///
/// Source of the cases: ACRP web resource 20, component description.
#[test]
fn exact_a_wrong_transformer_ratio_gives_a_third_or_three_times() {
    let regulator_20_a = ResonantRegulator::generic(30_000.0, 20.0, 60.0).unwrap();
    for (regulator, primary_rms_a, target_a, want_ratio) in
        [(generic(), 20.0, 6.6, 0.33), (regulator_20_a, 6.6, 8.5, 1.0), (generic(), 6.6, 6.6, 1.0)]
    {
        let transformer = IsolatingTransformer::generic(200.0, primary_rms_a, 6.6, 60.0).unwrap();
        let lamp = FilamentLamp::new(30.0, 6.6).unwrap();
        let kind = FixtureKind::Lamp(lamp);
        let group = FixtureGroup::new("edge", 20, kind, transformer).unwrap();
        let field = Field { groups: vec![group], ..Field::default() };
        let load = FieldLoad::for_regulator(&field, &regulator).unwrap();
        let answer = load.hold(&regulator, target_a, None, &SolveOptions::default());
        let point = answer.unwrap().held().unwrap();
        let secondary_rms_a = point.groups[0].secondary_rms_a.unwrap();
        let seen_ohm = want_ratio * want_ratio * lamp.resistance_ohm(secondary_rms_a);
        let share = transformer.core_loss_ohm / (transformer.core_loss_ohm + seen_ohm);
        let want_a = want_ratio * target_a * share;
        assert_relative(secondary_rms_a, want_a, 1e-7, "agreement asked of the resistances: 1e-8");
        assert!(share > 0.94, "the core takes a few percent: {share}");
        let told = point.notes().iter().any(|note| note.code == "lamp-overcurrent");
        assert_eq!(told, secondary_rms_a > 7.26, "a tenth more than 6.6 A is said");
    }
    // 20/6.6 and its inverse are the third and the three times of the trade.
    assert_absolute(6.6 / 20.0, 1.0 / 3.0, 4e-3, "3:1 is 20:6.6 rounded");
}

/// A shorted output is the lead's resistance, whatever is behind.
#[test]
fn exact_shorted_output_is_a_small_resistance() {
    let shorted = hold(&reference_field(5).shorted(), 4.1, None);
    let load = ResistiveLoad::new(FieldFault::LEAD_OHM).unwrap();
    let answer = generic().hold(&load, 4.1, None, &SolveOptions::default());
    let plain = answer.unwrap().held().unwrap();
    assert_eq!(shorted.delay_rad().to_bits(), plain.delay_rad().to_bits());
    assert_eq!(shorted.open_secondary_peak_v(), None, "nothing of the field carries current");
    assert_eq!(shorted.groups[0].secondary_rms_a, None);
}

/// Ten equal fixtures, a short from 0.2 to 0.5: three are bypassed, seven are left, and so is 0.7 of
/// the cable. With a short of next to no resistance the rest is the load.
#[test]
fn exact_partial_short_leaves_what_is_not_between_its_places() {
    let cable = CableRun {
        name: "loop".to_owned(),
        resistance_ohm_per_m: 1e-3,
        reference_degc: 20.0,
        temperature_coefficient_per_k: 0.0,
        length_m: 10_000.0,
        temperature_degc: 20.0,
        inductance_h_per_m: None,
    };
    let fault = FieldFault::PartialShort { from_ratio: 0.2, to_ratio: 0.5, resistance_ohm: 1e-3 };
    let lamp = FilamentLamp { rated_power_w: 200.0, rated_rms_a: 6.6, current_exponent: 1.0 };
    let group = FixtureGroup::new("edge", 10, FixtureKind::Lamp(lamp), bare_transformer()).unwrap();
    let field = Field { groups: vec![group], cable: vec![cable], fault: Some(fault) };
    let load = FieldLoad::new(&field, 6.6, 60.0).unwrap();
    let fixture_ohm = 1.0 / (1.0 / (200.0 / 43.56) + 1.0 / 150.0);
    let rest_ohm = 7.0 * fixture_ohm + 7.0;
    let short_ohm = 1.0 / (1.0 / 1e-3 + 1.0 / (3.0 * fixture_ohm + 3.0));
    assert_relative(load.resistance_ohm(), rest_ohm + short_ohm, 1e-12, ROUNDING);
    let point = hold(&field, 6.6, None);
    let seen_ohm = point.power.active_w / (6.6 * 6.6);
    assert_relative(seen_ohm, rest_ohm + short_ohm, 1e-7, "tolerance of the held RMS, on a grid");
    // As many lamps again in series on each secondary: twice the resistance.
    let doubled = field.groups[0].clone().with_lamps_per_fixture(2).unwrap();
    assert_relative(doubled.secondary_ohm(6.6), 2.0 * 200.0 / 43.56, 1e-14, ROUNDING);
}

/// What is left out of a field with rectifiers is said with its size: a square wave of 12 V at 60 Hz
/// swings the flux to V/(4 f) = 0.05 Wb; knee √2 30 V/(2π 60 Hz) = 0.1125 Wb; 0.15 A and 0.5 A of the
/// generic curve with exponent 9 give 0.067 A, 0.72 % of 6.6 √2 A.
#[test]
fn exact_magnetising_current_of_rectifiers_is_told() {
    let fixture = RectifierFixture { dc_v: 12.0, path_ohm: 0.2 };
    let transformer = IsolatingTransformer::generic(100.0, 6.6, 6.6, 60.0).unwrap();
    let kind = FixtureKind::Rectifier(fixture);
    let group = FixtureGroup::new("led", 30, kind, transformer).unwrap();
    let field = Field { groups: vec![group], ..Field::default() };
    let load = FieldLoad::new(&field, 6.6, 60.0).unwrap();
    let note = load.notes().iter().find(|note| note.code == "rectifier-cores").unwrap();
    assert!(note.text.contains("about 0.7 % of the rated current's peak"), "{}", note.text);
}

/// On a resistive loop a bridge with a constant voltage takes V times the rectified mean of its
/// current, and its path R I².
#[test]
fn exact_rectifier_takes_its_voltage_times_the_rectified_mean() {
    let fixture = RectifierFixture { dc_v: 12.0, path_ohm: 0.2 };
    let transformer = IsolatingTransformer {
        core_loss_ohm: 1e5,
        ..IsolatingTransformer::generic(100.0, 6.6, 6.6, 60.0).unwrap()
    };
    let kind = FixtureKind::Rectifier(fixture);
    let group = FixtureGroup::new("led", 30, kind, transformer).unwrap();
    let field = Field { groups: vec![group], ..Field::default() };
    let point = hold(&field, 5.2, None);
    let measures = point.operating.output.measures().dc;
    let want_w = 12.0 * measures.arv_a + 0.2 * measures.rms_a * measures.rms_a;
    let got_w = point.groups[0].fixture_w.unwrap();
    // A core loss of 100 kilohm at 12 V takes 0.1 mA of amperes.
    assert_relative(got_w, want_w, 1e-4, "the core carries 1e-4 of the current");
    let in_lamps_w = 30.0 * (got_w + transformer.winding_ohm * 5.2 * 5.2);
    assert_relative(point.power.active_w, in_lamps_w, 1e-3, "core loss 1e-4, twice, and the grid");
    // Looked for over the whole period, where nothing forbids even harmonics, there are none.
    let mean_a = point.operating.output.measures().mean_a;
    assert_absolute(mean_a, 0.0, 1e-8, "the solver's tolerance times the slow mode");
}

fn straight_sweep(shape_of: impl Fn(f64) -> f64) -> LampsOutSweep {
    let points = LampsOutSweep::even_ratios(81).into_iter().map(|open_ratio| {
        let shape = LampsOutShape {
            crest_factor: shape_of(open_ratio),
            average_responding_error_ratio: 0.0,
            output_peak_v: 1.0,
            open_secondary_peak_v: None,
            delay_rad: 2.0,
        };
        LampsOutPoint { open_ratio, shape: Some(shape) }
    });
    let step = steps()[0].clone();
    let points = points.collect();
    LampsOutSweep { step, which: LampsOut::EveryGroup, points, limit_ratio: None }
}

/// A straight course turns a Gaussian into a Gaussian: u_s = u/slope, 95 % within 1.96 u_s.
#[test]
fn exact_estimate_on_a_straight_course_is_gaussian() {
    let sweep = straight_sweep(|s| 1.4 + 0.5 * s);
    let measured = MeasuredShape {
        quantity: ShapeQuantity::CrestFactor,
        value: 1.5,
        standard_uncertainty: 0.01,
    };
    let noted = LampsOutEstimate::of(&sweep, &measured).unwrap();
    let estimate = &noted.value;
    let cell = "one cell of the distribution, 0.4/800";
    assert_absolute(estimate.most_likely_ratio, 0.2, 5e-4, cell);
    assert_absolute(estimate.mean_ratio, 0.2, 1e-6, "the distribution is symmetric, its tails cut");
    assert_absolute(estimate.standard_uncertainty_ratio, 0.02, 1e-6, "tails cut at ten u");
    let [(low, high)] = estimate.stretches[..] else { panic!("one stretch: {estimate:?}") };
    assert_absolute(low, 0.2 - 1.96 * 0.02, 5e-4, cell);
    assert_absolute(high, 0.2 + 1.96 * 0.02, 5e-4, cell);
    assert!(noted.notes.is_empty(), "{:?}", noted.notes);
    assert_eq!(estimate.miss, 0.0);
}

/// A valley gives the same value on both of its sides, a flat course at every share, and a value
/// beyond all of them at none: each is said in its own note.
#[test]
fn exact_estimate_says_where_it_cannot_tell() {
    let measured = |value, standard_uncertainty| MeasuredShape {
        quantity: ShapeQuantity::CrestFactor,
        value,
        standard_uncertainty,
    };
    let valley = straight_sweep(|s| 1.4 + 0.5 * (s - 0.2).abs());
    let noted = LampsOutEstimate::of(&valley, &measured(1.45, 0.005)).unwrap();
    let centres: Vec<f64> = noted.value.stretches.iter().map(|(a, b)| 0.5 * (a + b)).collect();
    assert_eq!(centres.len(), 2, "{noted:?}");
    assert_absolute(centres[0], 0.1, 1e-3, "two cells");
    assert_absolute(centres[1], 0.3, 1e-3, "two cells");
    assert_eq!(noted.notes[0].code, "lamps-out-several");
    let flat = straight_sweep(|s| 1.5 + 0.01 * s);
    let noted = LampsOutEstimate::of(&flat, &measured(1.502, 0.01)).unwrap();
    assert_eq!(noted.notes[0].code, "lamps-out-not-identifiable");
    let noted = LampsOutEstimate::of(&flat, &measured(1.6, 0.01)).unwrap();
    assert_eq!(noted.notes[0].code, "lamps-out-not-explained");
    assert_relative(noted.value.miss, 9.6, 1e-9, "(1.6 − 1.504)/0.01");
}

/// Equal cores run alike: fixtures of several sizes and groups are one flux, and each secondary has
/// its own share of the voltage.
#[test]
fn exact_open_fixtures_of_every_generic_size_share_one_flux() {
    let field = Field {
        groups: vec![
            lamps("edge", 30, 45.0, 45.0).with_open(3).unwrap(),
            lamps("approach", 10, 200.0, 200.0).with_open(2).unwrap(),
        ],
        ..Field::default()
    };
    let point = hold(&field, 4.1, None);
    // Five of the source, one of leakage, one of all open cores.
    assert_eq!(point.operating.circuit.state_count(), 7);
    let peaks: Vec<f64> = point.groups.iter().map(|g| g.open_secondary_peak_v.unwrap()).collect();
    assert_relative(peaks[1] / peaks[0], 200.0 / 45.0, 1e-12, "voltages go as the powers");
}
