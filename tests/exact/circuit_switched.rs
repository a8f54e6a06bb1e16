//! Networks with switches against closed forms.

use std::f64::consts::{PI, TAU};

use loopcrest::circuit::{
    Circuit, Crossing, Element, GateReference, GateRule, Network, Section, ShootingOptions, Source,
    Symmetry, find_periodic,
};

/// Peak of a harmonic of one period of samples taken in the middles of cells.
fn line_peak(samples: &[f64], order: usize) -> f64 {
    let n = samples.len() as f64;
    let (mut re, mut im) = (0.0, 0.0);
    for (k, x) in samples.iter().enumerate() {
        let phase = TAU * order as f64 * (k as f64 + 0.5) / n;
        re += x * phase.cos();
        im += x * phase.sin();
    }
    2.0 / n * re.hypot(im)
}

/// A reactor behind a triac on a sine of 1 V peak; reactance 1 ohm, so currents are per V/X.
fn reactor_current(delay_rad: f64, reference: fn(&Network) -> GateReference) -> Vec<f64> {
    let mut network = Network::new(50.0);
    let ground = network.ground();
    let [source, fired] = ["source", "fired"].map(|name| network.node(name));
    network.branch("source", source, ground, Element::VoltageSource(Source::sine(1.0, 0.0)));
    let inductance_h = 1.0 / (TAU * 50.0);
    let reactor = network.branch("reactor", source, fired, Element::Inductor { inductance_h });
    let reference = reference(&network);
    let gate = GateRule { reference, crossing: Crossing::Either, delay_rad };
    network.branch("triac", fired, ground, Element::Triac(gate));
    let circuit = Circuit::new(&network).unwrap();
    // A quarter period after the zero crossing the triac is off at every delay tried.
    let mut start = Section::at_rest(0.005, circuit.state_count());
    if reference != GateReference::Supply {
        let in_s = (delay_rad - 0.5 * PI) / (TAU * 50.0);
        start.pending = vec![loopcrest::circuit::PendingFiring { switch: 0, in_s }];
    }
    let solution =
        find_periodic(&circuit, &start, None, None, &ShootingOptions::default()).unwrap();
    assert!(solution.defect_ratio < 1e-12);
    solution.waveform(&circuit, reactor, 7200).unwrap().samples_a().to_vec()
}

/// Delay counted from the voltage's ZERO CROSSING. The textbook form for a delay counted from the
/// peak gives 0.0459 for the third harmonic at 120 degrees, a factor of 3 too small, yet has the
/// same maximum over the angle; so values are tested, not the maximum alone.
#[test]
fn exact_phase_fired_reactor_has_its_fundamental_harmonics_and_rms() {
    for delay_deg in [100.0_f64, 110.0, 120.0, 135.0, 150.0] {
        let a = delay_deg.to_radians();
        for reference in
            [(|_: &Network| GateReference::Supply) as fn(&Network) -> GateReference, |network| {
                GateReference::BranchVoltage(network.find("source").unwrap())
            }]
        {
            let samples = reactor_current(a, reference);
            let i1 = (2.0 * (PI - a) + (2.0 * a).sin()) / PI;
            // Kinks at two instants a half-wave: lines read from 7200 samples are good to about
            // (1/7200)², RMS by the midpoint rule likewise.
            let tolerance = 2e-7;
            assert!((line_peak(&samples, 1) - i1).abs() < tolerance, "fundamental at {delay_deg}");
            for h in [3.0_f64, 5.0, 7.0, 9.0] {
                let want = 4.0 / PI
                    * (((h + 1.0) * a).sin() / (2.0 * (h + 1.0))
                        + ((h - 1.0) * a).sin() / (2.0 * (h - 1.0))
                        - a.cos() * (h * a).sin() / h)
                        .abs();
                let got = line_peak(&samples, h as usize);
                assert!((got - want).abs() < tolerance, "h{h} at {delay_deg}: {got} {want}");
            }
            let s = 2.0 * (PI - a);
            let j = s * (a.cos().powi(2) + 0.5) + 1.5 * (2.0 * a).sin();
            // The closed form is per V_rms/X; the source here has 1 V peak.
            let want = (2.0 * j / PI).sqrt() / std::f64::consts::SQRT_2;
            let rms = (samples.iter().map(|x| x * x).sum::<f64>() / 7200.0).sqrt();
            assert!((rms - want).abs() < tolerance, "RMS at {delay_deg}: {rms} {want}");
        }
    }
}

/// Six digits at 120 degrees from a transform of 2e6 samples, computed apart from this program.
#[test]
fn exact_phase_fired_reactor_at_120_degrees_as_noted() {
    let samples = reactor_current(120_f64.to_radians(), |_| GateReference::Supply);
    for (order, noted) in [(1, 0.391002), (3, 0.137832), (5, 0.027566), (7, 0.009845)] {
        let got = line_peak(&samples, order);
        assert!((got - noted).abs() < 1e-6, "half a digit and rounding: h{order} {got} {noted}");
    }
}

#[test]
fn exact_diode_bridge_rectifies_a_sine() {
    let mut network = Network::new(50.0);
    let ground = network.ground();
    let [a, plus, minus] = ["a", "plus", "minus"].map(|name| network.node(name));
    network.branch("source", a, ground, Element::VoltageSource(Source::sine(10.0, 0.0)));
    network.branch("d1", a, plus, Element::Diode);
    network.branch("d2", ground, plus, Element::Diode);
    network.branch("d3", minus, a, Element::Diode);
    network.branch("d4", minus, ground, Element::Diode);
    let load = network.branch("load", plus, minus, Element::Resistor { resistance_ohm: 5.0 });
    let circuit = Circuit::new(&network).unwrap();
    let start = Section::at_rest(0.001, 0);
    let full = ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() };
    let solution = find_periodic(&circuit, &start, None, None, &full).unwrap();
    let measures = solution.waveform(&circuit, load, 7200).unwrap().measures();
    // |2 sin|: mean 4/π, RMS √2; the kink at zero costs the midpoint rule about (π/7200)²/3.
    assert!((measures.mean_a - 4.0 / PI).abs() < 1e-6, "mean {}", measures.mean_a);
    assert!((measures.dc.rms_a - 2_f64.sqrt()).abs() < 1e-6, "RMS {}", measures.dc.rms_a);
    assert!(measures.min_a >= 0.0, "a rectified current is never negative");
}

/// A diode and an inductor on a sine started at the zero crossing of the voltage: without loss the
/// current is (V/ωL)(1 − cos ωt) and just touches zero once a period.
#[test]
fn exact_thyristor_with_resistance_conducts_its_part_of_the_sine() {
    let delay_rad = 60_f64.to_radians();
    let mut network = Network::new(60.0);
    let ground = network.ground();
    let [source, out] = ["source", "out"].map(|name| network.node(name));
    network.branch("source", source, ground, Element::VoltageSource(Source::sine(2.0, 0.0)));
    let gate = GateRule { reference: GateReference::Supply, crossing: Crossing::Rising, delay_rad };
    let device = network.branch("thyristor", source, out, Element::Thyristor(gate));
    network.branch("load", out, ground, Element::Resistor { resistance_ohm: 1.0 });
    let circuit = Circuit::new(&network).unwrap();
    let full = ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() };
    let solution = find_periodic(&circuit, &Section::at_rest(0.0, 0), None, None, &full).unwrap();
    let course = solution.trajectory(&circuit).unwrap();
    let switchings = course.switchings();
    let want_s = [delay_rad / (TAU * 60.0), 0.5 / 60.0];
    assert_eq!(switchings.len(), 2, "one turn-on and one turn-off a period: {switchings:?}");
    for ((got_s, _), want_s) in switchings.iter().zip(want_s) {
        assert!((got_s - want_s).abs() < 1e-15, "events are located to rounding");
    }
    let measures = solution.waveform(&circuit, device, 7200).unwrap().measures();
    // mean = (V/2πR)(1 + cos α); the jump falls on a cell's edge of this grid.
    let want = 2.0 / TAU * (1.0 + delay_rad.cos());
    assert!((measures.mean_a - want).abs() < 1e-6, "{} {want}", measures.mean_a);
}

#[test]
fn exact_diode_and_reactor_just_touch_zero() {
    let mut network = Network::new(60.0);
    let ground = network.ground();
    let [source, mid, out] = ["source", "mid", "out"].map(|name| network.node(name));
    network.branch("source", source, ground, Element::VoltageSource(Source::sine(1.0, 0.0)));
    network.branch("diode", source, mid, Element::Diode);
    let inductance_h = 1.0 / (TAU * 60.0);
    let reactor = network.branch("reactor", mid, out, Element::Inductor { inductance_h });
    network.branch("load", out, ground, Element::Resistor { resistance_ohm: 0.2 });
    let circuit = Circuit::new(&network).unwrap();
    let full = ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() };
    let start = Section::at_rest(-0.001, 1);
    let solution = find_periodic(&circuit, &start, None, None, &full).unwrap();
    let course = solution.trajectory(&circuit).unwrap();
    let on_s = course.switchings()[0].0;
    let off_s = course.switchings()[1].0;
    assert!(on_s.abs() < 1e-15, "turns on where the voltage rises through zero: {on_s}");
    // i = [sin(θ − φ) + sin φ e^(−θ/tan φ)]/z, tan φ = 5: the angle of extinction solves i = 0.
    let phi = 5_f64.atan();
    let theta = off_s * TAU * 60.0;
    let i = (theta - phi).sin() + phi.sin() * (-theta / phi.tan()).exp();
    assert!(i.abs() < 1e-12, "extinction at {theta} rad leaves {i}");
    let mean_a = solution.waveform(&circuit, reactor, 7200).unwrap().measures().mean_a;
    // The reactor's mean voltage is zero, so the mean of what the source gives is R times i's.
    let want = (1.0 - theta.cos()) / TAU / 0.2;
    assert!((mean_a - want).abs() < 1e-6, "midpoint rule with two kinks: {mean_a} {want}");
}
