//! The two sources the resonant one is compared with.

use std::f64::consts::{PI, SQRT_2};

use loopcrest::regulator::{
    PhaseCutSource, Regulated, ResistiveLoad, SineSource, SolveOptions, Supply,
};

fn phase_cut() -> PhaseCutSource {
    PhaseCutSource {
        rated_power_w: 10_000.0,
        rated_current_rms_a: 6.6,
        rated_frequency_hz: 60.0,
        supply: Supply::nominal(),
    }
}

/// Delay and crest factor on a resistance of p times the rated one, from tables computed apart
/// and recomputed here from the closed form.
#[test]
fn exact_phase_cut_source_fires_later_the_lighter_the_load() {
    let rated_ohm = 10_000.0 / (6.6 * 6.6);
    for (p, delay_deg, crest) in [
        (0.9, 59.3, 1.571),
        (0.8, 77.2, 1.768),
        (0.63, 99.4, 2.215),
        (0.5, 113.8, 2.587),
        (0.25, 140.7, 3.586),
    ] {
        let load = ResistiveLoad::new(p * rated_ohm).unwrap();
        let point = phase_cut().hold(&load, 6.6, &SolveOptions::default()).unwrap().held().unwrap();
        let a = point.delay_rad();
        let passed = (1.0 - a / PI + (2.0 * a).sin() / (2.0 * PI)).sqrt();
        assert!((passed - p).abs() < 1e-9, "closed form at {p}: {passed}");
        assert!((a.to_degrees() - delay_deg).abs() < 0.06, "printed to 0.1: {}", a.to_degrees());
        let sensed_a = point.solution.sensed_a.unwrap();
        assert!((sensed_a - 6.6).abs() < 1e-8, "held to the tolerance of the defect: {sensed_a}");
        // A jump inside a cell is known to half a cell of 7200: 2e-3 of the crest factor at most.
        let measures = point.output.measures();
        let got = measures.dc.crest_factor().unwrap();
        assert!((got - crest).abs() < 4e-3, "crest factor at {p}: {got} {crest}");
    }
}

#[test]
fn exact_phase_cut_source_cannot_exceed_its_sine() {
    let load = ResistiveLoad::new(1.1 * 10_000.0 / (6.6 * 6.6)).unwrap();
    let answer = phase_cut().hold(&load, 6.6, &SolveOptions::default()).unwrap();
    let Regulated::OutOfReach(reach) = answer else { panic!("a sine of V/R = 6 A was expected") };
    // Full conduction gives V/R = 6.6/1.1 A, less what 2 mrad of delay take (3e-9).
    assert!((reach.limit_a - 6.0).abs() < 1e-4, "{}", reach.limit_a);
}

#[test]
fn exact_sine_source_has_the_factors_of_a_sine() {
    let load = ResistiveLoad::new(100.0).unwrap();
    let source = SineSource { frequency_hz: 60.0 };
    let point = source.drive(&load, 6.6, &SolveOptions::default()).unwrap();
    let measures = point.output.measures();
    assert!((measures.dc.rms_a - 6.6).abs() < 1e-12);
    // Peak and rectified mean of a sine on 7200 samples: (π/7200)²/2 at most.
    assert!((measures.dc.crest_factor().unwrap() - SQRT_2).abs() < 2e-7);
    assert!(point.average_responding_error_ratio().abs() < 2e-7);
}
