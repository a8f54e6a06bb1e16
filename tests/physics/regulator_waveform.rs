//! What the regulator does to its current: over steps, loads, lamps out and the supply.

use loopcrest::circuit::{BranchId, Element, Magnet, Network, NodeId, Stability};
use loopcrest::error::Result;
use loopcrest::regulator::{
    Load, OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions, Supply,
};

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn hold(regulator: &ResonantRegulator, load: &dyn Load, target_a: f64) -> OperatingPoint {
    regulator.hold(load, target_a, None, &SolveOptions::default()).unwrap().held().unwrap()
}

fn resistive(load_ratio: f64) -> ResistiveLoad {
    ResistiveLoad::new(load_ratio * 230.0).unwrap()
}

const STEPS_A: [f64; 5] = [2.8, 3.4, 4.1, 5.2, 6.6];

/// Ranges computed by an independent shooting program for the same generic values.
#[test]
fn physics_delay_rises_with_the_step_at_any_load() {
    for load in [0.02, 0.25, 0.5, 0.75, 1.0] {
        let delays: Vec<f64> = STEPS_A
            .iter()
            .map(|target_a| {
                hold(&regulator(), &resistive(load), *target_a).delay_rad().to_degrees()
            })
            .collect();
        assert!(delays.windows(2).all(|pair| pair[1] > pair[0] + 2.0), "{delays:?}");
        assert!(delays[0] > 111.0 && delays[4] < 159.0, "about 112 to 158 degrees: {delays:?}");
    }
}

#[test]
fn physics_sign_of_an_average_meters_error_changes_between_short_and_full_load() {
    let errors = |load: f64| -> Vec<f64> {
        STEPS_A
            .iter()
            .map(|target_a| {
                let point = hold(&regulator(), &resistive(load), *target_a);
                100.0 * point.average_responding_error_ratio()
            })
            .collect()
    };
    let short = errors(0.02);
    assert!((short[4] + 0.5).abs() < 0.05, "0.5 % low on the top step: {short:?}");
    assert!(short[..3].iter().all(|e| (-2.85..=-2.25).contains(e)), "2.3 to 2.8 % low: {short:?}");
    let half = errors(0.5);
    assert!(half.iter().all(|e| (-1.35..=-0.15).contains(e)), "0.2 to 1.3 % low: {half:?}");
    let full = errors(1.0);
    assert!(full.iter().all(|e| *e > 0.0 && *e < 1.05), "up to 1 % HIGH: {full:?}");
}

#[test]
fn physics_every_step_with_all_lamps_in_is_stable_with_a_crest_factor_as_noted() {
    for load in [0.02, 0.5, 1.0] {
        for target_a in STEPS_A {
            let point = hold(&regulator(), &resistive(load), target_a);
            assert_eq!(point.solution.stability(), Stability::Stable);
            let crest = point.output.measures().dc.crest_factor().unwrap();
            assert!((1.385..=1.525).contains(&crest), "1.39 to 1.52: {crest}");
            let decay_s = point.solution.decay_time_s().unwrap();
            assert!(decay_s > 0.5, "the flux offset takes seconds to die: {decay_s}");
        }
    }
}

/// A field of equal fixtures, some with their lamp out: the open ones are one saturating core with
/// their number times the voltage. Knee 60 V RMS, a 0.15 A, b 0.5 A, n 9, core loss
/// 150 ohm a fixture: generic values of ours.
#[derive(Debug)]
struct Field {
    fixtures: f64,
    open: f64,
    resistance_ohm: f64,
}

impl Load for Field {
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId> {
        if self.open == 0.0 {
            let all = Element::Resistor { resistance_ohm: self.resistance_ohm };
            return Ok(network.branch("lamps", from, to, all));
        }
        let middle = network.node("field");
        let lit_ohm = self.resistance_ohm * (1.0 - self.open / self.fixtures);
        let lit = Element::Resistor { resistance_ohm: lit_ohm };
        network.branch("lamps", from, middle, lit);
        let omega = std::f64::consts::TAU * 60.0;
        let magnet = Magnet::OddPower {
            linear_a: 0.15,
            power_a: 0.5,
            knee_wb: self.open * 60.0 * 2_f64.sqrt() / omega,
            exponent: 9,
        };
        let core = Element::SaturatingInductor { magnet, core_loss_ohm: Some(150.0 * self.open) };
        Ok(network.branch("open fixtures", middle, to, core))
    }

    fn resistance_ohm(&self) -> f64 {
        self.resistance_ohm
    }
}

/// DIFFERENCE: an independent program gave 3 to 5 % low for one lamp in ten out and 4 to 7 % for
/// three in twenty, at a load and steps it does not name; this field gives 0.8 to 3 % and 1.6 to
/// 4 %, and a general-purpose circuit simulator follows its waveforms within 0.05 % of peak. Held
/// here is what does not depend on the field: the order of the three on every step.
#[test]
fn physics_open_lamps_make_an_average_meter_read_low_and_the_crest_factor_rise() {
    let fields = [
        Field { fixtures: 10.0, open: 0.0, resistance_ohm: 57.5 },
        Field { fixtures: 10.0, open: 1.0, resistance_ohm: 57.5 },
        Field { fixtures: 20.0, open: 3.0, resistance_ohm: 57.5 },
    ];
    for target_a in STEPS_A {
        let seen: Vec<(f64, f64)> = fields
            .iter()
            .map(|field| {
                let point = hold(&regulator(), field, target_a);
                let crest = point.output.measures().dc.crest_factor().unwrap();
                if field.open > 0.0 {
                    check_spike(&point, field.open);
                }
                (100.0 * point.average_responding_error_ratio(), crest)
            })
            .collect();
        for pair in seen.windows(2) {
            assert!(pair[1].0 < pair[0].0 - 0.2, "reads lower still: {seen:?} at {target_a} A");
            assert!(pair[1].1 > pair[0].1 + 0.005, "peaks higher: {seen:?} at {target_a} A");
        }
        assert!(seen[2].0 < -1.5, "past the band of 1.5 % with three in twenty out: {seen:?}");
    }
}

/// The open fixture's core saturates each half cycle: its voltage is a spike.
fn check_spike(point: &OperatingPoint, open: f64) {
    let traces = point.traces(3600).unwrap();
    let trace = traces.iter().find(|trace| trace.name == "open fixtures").unwrap();
    let rms_v = (trace.voltage_v.iter().map(|v| v * v).sum::<f64>() / 3600.0).sqrt() / open;
    let peak_v = trace.voltage_v.iter().fold(0.0_f64, |m, v| m.max(v.abs())) / open;
    assert!(peak_v > 2.2 * rms_v, "a spike each half cycle: {peak_v} V over {rms_v} V");
    assert!(rms_v > 60.0, "driven past its knee of 60 V: {rms_v}");
}

#[test]
fn physics_the_control_makes_up_for_the_supply_and_for_drift() {
    let load = resistive(0.5);
    let base = hold(&regulator(), &load, 5.2);
    for (voltage_ratio, direction) in [(0.9, 1.0), (1.1, -1.0)] {
        let supply = Supply::nominal().with_voltage_ratio(voltage_ratio).unwrap();
        let point = hold(&regulator().with_supply(supply), &load, 5.2);
        assert!((point.output_rms_a() - 5.2).abs() < 1e-8);
        let moved = point.delay_rad() - base.delay_rad();
        assert!(moved * direction > 0.01, "less voltage asks for a later firing: {moved}");
    }
    for frequency_ratio in [59.0 / 60.0, 61.0 / 60.0] {
        let supply = Supply::nominal().with_frequency_ratio(frequency_ratio).unwrap();
        let point = hold(&regulator().with_supply(supply), &load, 5.2);
        assert!((point.output.frequency_hz() - 60.0 * frequency_ratio).abs() < 1e-9);
        assert!((point.output_rms_a() - 5.2).abs() < 1e-8);
    }
    // A fifth of 5 % on the supply shows in the current, reduced by the reactors on its way: the
    // input reactor at 300 Hz alone takes 1150 ohm, so some tens of milliamperes are left at most.
    let supply = Supply::nominal().with_harmonic(5, 0.05, 0.0).unwrap();
    let point = hold(&regulator().with_supply(supply), &load, 5.2);
    let fifth = |point: &OperatingPoint| {
        let (mut re, mut im) = (0.0, 0.0);
        for (k, i_a) in point.output.samples_a().iter().enumerate() {
            let phase = std::f64::consts::TAU * 5.0 * (k as f64 + 0.5) / 7200.0;
            re += i_a * phase.cos() / 3600.0;
            im += i_a * phase.sin() / 3600.0;
        }
        (re, im)
    };
    let (with, without) = (fifth(&point), fifth(&base));
    let change_a = (with.0 - without.0).hypot(with.1 - without.1);
    assert!(change_a > 1e-3 && change_a < 0.1, "{change_a}");
    let mut drifted = regulator();
    drifted.values = drifted.values.drifted(0.95, 1.02);
    let point = hold(&drifted, &load, 5.2);
    assert!((point.delay_rad() - base.delay_rad()).abs() > 0.005);
}

/// Near the short the symmetric state is so lightly held that one percent of second harmonic on the
/// supply takes it to a fold: an error that says how far it could be followed, not a number.
#[test]
fn physics_a_fold_on_the_way_to_the_even_harmonics_is_an_error_that_says_where() {
    let regulator = |ratio: f64| {
        regulator().with_supply(Supply::nominal().with_harmonic(2, ratio, 0.5).unwrap())
    };
    let options = SolveOptions::default();
    let small = regulator(0.001).hold(&resistive(0.004), 3.0, None, &options);
    assert!(small.unwrap().held().is_some(), "a tenth of a percent can be followed");
    let error = regulator(0.05).hold(&resistive(0.004), 3.0, None, &options);
    let message = error.expect_err("past the fold").to_string();
    assert!(message.contains("% of the supply's even harmonics"), "{message}");
}

/// An even harmonic on the supply breaks the half-wave symmetry: the full period is solved.
#[test]
fn physics_an_even_supply_harmonic_gives_even_harmonics_in_the_current() {
    let supply = Supply::nominal().with_harmonic(2, 0.02, 0.5).unwrap();
    let point = hold(&regulator().with_supply(supply), &resistive(0.5), 5.2);
    let samples = point.output.samples_a();
    let even = (0..3600).map(|k| (samples[k] + samples[k + 3600]).abs()).fold(0.0, f64::max);
    assert!(even > 1e-3, "{even}");
    assert!((point.output_rms_a() - 5.2).abs() < 1e-7);
}
