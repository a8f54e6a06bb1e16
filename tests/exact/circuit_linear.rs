//! Linear networks against closed forms.

use std::f64::consts::{FRAC_PI_2, SQRT_2, TAU};

use loopcrest::circuit::{
    BranchId, Circuit, Element, Flow, Magnet, Network, Section, ShootingOptions, Source, StepPlan,
    Symmetry, Trajectory, find_periodic,
};
use num_complex::Complex64;
use proptest::prelude::*;

/// Rounding through a few thousand steps and one linear solve; the method itself is exact here.
const ROUNDING: f64 = 1e-9;

fn rms_a(network: &Network, branch: BranchId) -> f64 {
    let circuit = Circuit::new(network).unwrap();
    let start = Section::at_rest(0.0, circuit.state_count());
    let solution =
        find_periodic(&circuit, &start, None, None, &ShootingOptions::default()).unwrap();
    solution.waveform(&circuit, branch, 400).unwrap().measures().dc.rms_a
}

fn close(got: f64, want: f64, relative: f64, why: &str) {
    assert!((got / want - 1.0).abs() <= relative, "{got} instead of {want} ({why})");
}

/// T of equal reactances, 480 V, tuned to 60 Hz for 6.6 A.
fn t_network(
    frequency_ratio: f64,
    capacitor_reactance_ratio: f64,
    load_ohm: f64,
) -> (Network, BranchId) {
    let x_ohm = 480.0 / 6.6;
    let omega = TAU * 60.0;
    let mut network = Network::new(60.0 * frequency_ratio);
    let ground = network.ground();
    let [source, bus, output] = ["source", "bus", "output"].map(|name| network.node(name));
    let source_v = Element::VoltageSource(Source::sine(480.0 * SQRT_2, 0.3));
    network.branch("source", source, ground, source_v);
    let reactor = Element::Inductor { inductance_h: x_ohm / omega };
    network.branch("in", source, bus, reactor.clone());
    let capacitance_f = 1.0 / (omega * x_ohm * capacitor_reactance_ratio);
    network.branch("c", bus, ground, Element::Capacitor { capacitance_f });
    let out = network.branch("out", bus, output, reactor);
    network.branch("load", output, ground, Element::Resistor { resistance_ohm: load_ohm });
    (network, out)
}

#[test]
fn exact_tuned_t_network_drives_the_same_current_into_any_load() {
    for load_ohm in [1e-6, 1.0, 50.0, 480.0 / 6.6, 200.0] {
        let (network, out) = t_network(1.0, 1.0, load_ohm);
        // I = V/X for any load: A = 0, B = jX of the chain matrix.
        close(rms_a(&network, out), 6.6, ROUNDING, "closed form V/X");
    }
}

#[test]
fn exact_detuned_t_network_follows_its_chain_matrix() {
    let x_ohm = 480.0 / 6.6;
    for (load_ohm, printed) in [(1e-6, 6.66869), (x_ohm, 6.66732)] {
        let (network, out) = t_network(1.01, 1.0, load_ohm);
        let d: f64 = 1.01;
        // I = V/[R(1 - d²) + jXd(2 - d²)]
        let b = Complex64::new(load_ohm * (1.0 - d * d), x_ohm * d * (2.0 - d * d));
        let got = rms_a(&network, out);
        close(got, 480.0 / b.norm(), ROUNDING, "closed form");
        assert!(
            (got - printed).abs() < 1e-5,
            "{got} against {printed}, by another evaluation of the chain matrix"
        );
    }
    for (load_ohm, printed) in [(1e-6, 6.96667), (x_ohm, 6.9559)] {
        let (network, out) = t_network(1.0, 0.95, load_ohm);
        let got = rms_a(&network, out);
        assert!(
            (got - printed).abs() < 5e-5,
            "{got} against {printed}, by another evaluation of the chain matrix"
        );
    }
}

#[test]
fn exact_monocyclic_square_drives_the_same_current_into_any_load() {
    let (x_ohm, omega) = (50.0, TAU * 50.0);
    for load_ohm in [1.0, 50.0, 200.0] {
        let mut network = Network::new(50.0);
        let b = network.ground();
        let [a, c, d] = ["a", "c", "d"].map(|name| network.node(name));
        let source_v = Element::VoltageSource(Source::sine(100.0 * SQRT_2, 0.0));
        network.branch("source", a, b, source_v);
        let reactor = Element::Inductor { inductance_h: x_ohm / omega };
        let capacitor = Element::Capacitor { capacitance_f: 1.0 / (omega * x_ohm) };
        // Ideal arms resonate at the mains frequency with nothing to damp them, so that their
        // ringing is not determined; 50 Mohm across the capacitors settles it.
        network.branch("leak cb", c, b, Element::Resistor { resistance_ohm: 5e7 });
        network.branch("leak da", d, a, Element::Resistor { resistance_ohm: 5e7 });
        network.branch("ac", a, c, reactor.clone());
        network.branch("cb", c, b, capacitor.clone());
        network.branch("bd", b, d, reactor);
        network.branch("da", d, a, capacitor);
        let resistor = Element::Resistor { resistance_ohm: load_ohm };
        let load = network.branch("load", c, d, resistor);
        // I = V/X = 2 A for any load, by nodal analysis.
        close(rms_a(&network, load), 2.0, 1e-5, "closed form V/X; the leak is 1e-6 of an arm");
    }
}

#[test]
fn exact_ideal_transformer_shows_its_load_times_the_square_of_its_ratio() {
    let mut network = Network::new(60.0);
    let ground = network.ground();
    let [p, s] = ["p", "s"].map(|name| network.node(name));
    network.branch("source", p, ground, Element::VoltageSource(Source::sine(90.0 * SQRT_2, 0.0)));
    let windings = ((p, ground), (s, ground));
    let (primary, secondary) = network.ideal_transformer("t", windings.0, windings.1, 3.0);
    network.branch("load", s, ground, Element::Resistor { resistance_ohm: 5.0 });
    // 90 V / (3² · 5 ohm) = 2 A on the primary, 6 A on the secondary.
    close(rms_a(&network, primary), 2.0, ROUNDING, "closed form");
    close(rms_a(&network, secondary), 6.0, ROUNDING, "closed form");
}

#[test]
fn exact_coupled_windings_follow_their_impedance_matrix() {
    let (l1, l2, k, r1, r2) = (0.4_f64, 0.1_f64, 0.9, 3.0, 20.0);
    let omega = TAU * 60.0;
    let mut network = Network::new(60.0);
    let ground = network.ground();
    let [source, p, s] = ["source", "p", "s"].map(|name| network.node(name));
    let source_v = Element::VoltageSource(Source::sine(100.0 * SQRT_2, 1.0));
    network.branch("source", source, ground, source_v);
    network.branch("r1", source, p, Element::Resistor { resistance_ohm: r1 });
    let first = network.branch("l1", p, ground, Element::Inductor { inductance_h: l1 });
    let second = network.branch("l2", s, ground, Element::Inductor { inductance_h: l2 });
    network.branch("r2", s, ground, Element::Resistor { resistance_ohm: r2 });
    network.couple(first, second, k);
    let m = k * (l1 * l2).sqrt();
    let j = Complex64::I;
    // V = (r1 + jωl1) I1 + jωM I2;  0 = jωM I1 + (r2 + jωl2) I2
    let reflected = (omega * m).powi(2) / (r2 + j * omega * l2);
    let i1 = 100.0 / (r1 + j * omega * l1 + reflected).norm();
    let i2 = i1 * omega * m / (r2 + j * omega * l2).norm();
    close(rms_a(&network, first), i1, ROUNDING, "closed form");
    close(rms_a(&network, second), i2, ROUNDING, "closed form");
}

#[test]
fn exact_inductors_in_series_act_as_their_sum() {
    let mut network = Network::new(50.0);
    let ground = network.ground();
    let [source, a, b] = ["source", "a", "b"].map(|name| network.node(name));
    let source_v = Element::VoltageSource(Source::sine(230.0 * SQRT_2, 0.0));
    network.branch("source", source, ground, source_v);
    let first = network.branch("l1", source, a, Element::Inductor { inductance_h: 0.2 });
    let second = network.branch("l2", a, b, Element::Inductor { inductance_h: 0.05 });
    network.branch("r", b, ground, Element::Resistor { resistance_ohm: 40.0 });
    let want = 230.0 / Complex64::new(40.0, TAU * 50.0 * 0.25).norm();
    close(rms_a(&network, first), want, ROUNDING, "closed form");
    close(rms_a(&network, second), want, ROUNDING, "the same current in both");
}

#[test]
fn exact_source_harmonics_superpose() {
    let mut network = Network::new(60.0);
    let ground = network.ground();
    let [source, mid] = ["source", "mid"].map(|name| network.node(name));
    let tones =
        [(1, 100.0, 0.0), (5, 30.0, 1.0), (11, 10.0, -2.0)].map(|(order, amplitude, phase_rad)| {
            loopcrest::circuit::Tone { order, amplitude, phase_rad }
        });
    let source_v = Element::VoltageSource(Source::Tones(tones.to_vec()));
    network.branch("source", source, ground, source_v);
    let l = network.branch("l", source, mid, Element::Inductor { inductance_h: 0.02 });
    network.branch("r", mid, ground, Element::Resistor { resistance_ohm: 4.0 });
    let square: f64 = tones
        .iter()
        .map(|t| {
            let z = Complex64::new(4.0, f64::from(t.order) * TAU * 60.0 * 0.02);
            0.5 * (t.amplitude / z.norm()).powi(2)
        })
        .sum();
    close(rms_a(&network, l), square.sqrt(), ROUNDING, "sum of squares of the lines");
}

#[test]
fn exact_triangle_table_has_the_rms_of_a_triangle() {
    let mut network = Network::new(50.0);
    let (ground, node) = (network.ground(), network.node("n"));
    let source = Source::Table(vec![0.0, 3.0, 0.0, -3.0]);
    network.branch("source", node, ground, Element::VoltageSource(source));
    let l = network.branch("l", node, ground, Element::Inductor { inductance_h: 1.0 });
    network.branch("r", node, ground, Element::Resistor { resistance_ohm: 1.0 });
    let circuit = Circuit::new(&network).unwrap();
    let mut flow = Flow::new(&circuit, StepPlan::default()).unwrap();
    // Flux linkage of the triangle: a quarter period from the zero crossing adds V·(T/4)/2.
    let quarter_vs = 3.0 * (0.02 / 4.0) / 2.0;
    flow.start(&Section { state: vec![-quarter_vs], ..Section::at_rest(0.0, 1) }).unwrap();
    for (time_s, want) in [(0.005, 0.0), (0.010, quarter_vs), (0.015, 0.0), (0.020, -quarter_vs)] {
        flow.advance_to(time_s, None).unwrap();
        assert!((flow.state()[0] - want).abs() < 1e-15, "parabola arcs between the corners");
    }
    assert_eq!(circuit.state_branch(0), l);
}

/// Core of two straight pieces fed by a voltage whose flux is known: i = i_m(λ) at every instant.
#[test]
fn exact_piecewise_core_follows_its_table() {
    let omega = TAU * 60.0;
    let magnet = Magnet::Table { points_wb_a: vec![(0.5, 0.1), (0.8, 2.0), (1.0, 9.0)] };
    let mut network = Network::new(60.0);
    let (ground, node) = (network.ground(), network.node("n"));
    let source = Source::sine(1.2 * omega, FRAC_PI_2);
    network.branch("source", node, ground, Element::VoltageSource(source));
    let element = Element::SaturatingInductor { magnet: magnet.clone(), core_loss_ohm: Some(1e3) };
    let core = network.branch("core", node, ground, element);
    let circuit = Circuit::new(&network).unwrap();
    let mut flow = Flow::new(&circuit, StepPlan::default()).unwrap();
    flow.start(&Section::at_rest(0.0, 1)).unwrap();
    let mut course = Trajectory::default();
    flow.advance_to(2.0 / 60.0, Some(&mut course)).unwrap();
    let times_s: Vec<f64> = (0..500).map(|k| k as f64 / 15_000.0).collect();
    for (time_s, i_a) in times_s.iter().zip(course.current_a(&circuit, core, &times_s)) {
        let flux_wb = 1.2 * (omega * time_s).sin();
        let want = magnet.current_a(flux_wb) + 1.2 * omega * (omega * time_s).cos() / 1e3;
        assert!((i_a - want).abs() < 1e-9, "steepest piece 35 A/Wb times 1e-13 Wb: {i_a} {want}");
    }
}

#[test]
fn exact_magnetising_curves_invert() {
    let power = Magnet::OddPower { linear_a: 0.3, power_a: 0.5, knee_wb: 8.6, exponent: 9 };
    let table = Magnet::Table { points_wb_a: vec![(0.5, 0.1), (0.8, 2.0), (1.0, 9.0)] };
    for flux_wb in [-14.0, -1.1, -0.6, -1e-6, 0.0, 1e-9, 0.3, 0.5, 0.9, 3.0, 12.0] {
        for magnet in [&power, &table] {
            let back = magnet.flux_wb(magnet.current_a(flux_wb)).unwrap();
            assert!((back - flux_wb).abs() <= 1e-12 * flux_wb.abs().max(1e-3), "{back} {flux_wb}");
        }
    }
    // At the knee the power curve carries a + b.
    assert!((power.current_a(8.6) - 0.8).abs() < 1e-15);
    assert!(power.flux_wb(f64::NAN).is_err());
}

#[test]
fn exact_full_period_and_half_wave_shooting_agree() {
    let (network, out) = t_network(1.0, 0.95, 100.0);
    let circuit = Circuit::new(&network).unwrap();
    let start = Section::at_rest(0.0, circuit.state_count());
    let full = ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() };
    let three = ShootingOptions { periods: 3, ..full };
    let want = rms_a(&network, out);
    for options in [full, three] {
        let solution = find_periodic(&circuit, &start, None, None, &options).unwrap();
        let periods = options.periods;
        let got = solution.waveform(&circuit, out, 400 * periods).unwrap().measures().dc.rms_a;
        close(got, want, ROUNDING, "a linear network has one periodic solution");
        // det of the map = exp(trace · time): the product of the multipliers is known.
        let product: Complex64 = solution.multipliers.iter().product();
        let trace_per_s = -100.0 / (480.0 / 6.6 / (TAU * 60.0));
        let exact = (trace_per_s * periods as f64 / 60.0).exp();
        assert!((product.norm() - exact).abs() < 1e-8 * exact.max(1e-6), "{product} {exact}");
    }
}

/// An arm of a ladder: ohms at the mains frequency, and what it is made of.
#[derive(Clone, Copy, Debug)]
enum Arm {
    Resistor(f64),
    Inductor(f64),
    Capacitor(f64),
}

impl Arm {
    fn element(self, omega: f64) -> Element {
        match self {
            Self::Resistor(ohm) => Element::Resistor { resistance_ohm: ohm },
            Self::Inductor(ohm) => Element::Inductor { inductance_h: ohm / omega },
            Self::Capacitor(ohm) => Element::Capacitor { capacitance_f: 1.0 / (ohm * omega) },
        }
    }

    fn impedance(self) -> Complex64 {
        match self {
            Self::Resistor(ohm) => Complex64::new(ohm, 0.0),
            Self::Inductor(ohm) => Complex64::new(0.0, ohm),
            Self::Capacitor(ohm) => Complex64::new(0.0, -ohm),
        }
    }
}

fn series_arm() -> impl Strategy<Value = Arm> {
    (5.0..200.0f64, any::<bool>())
        .prop_map(|(ohm, wound)| if wound { Arm::Inductor(ohm) } else { Arm::Resistor(ohm) })
}

fn shunt_arm() -> impl Strategy<Value = Arm> {
    (5.0..200.0f64, 0..3).prop_map(|(ohm, kind)| match kind {
        0 => Arm::Resistor(ohm),
        1 => Arm::Inductor(ohm),
        _ => Arm::Capacitor(ohm),
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Any ladder against its chain of impedances.
    #[test]
    fn exact_random_ladders_follow_their_phasors(
        rungs in prop::collection::vec((series_arm(), shunt_arm()), 1..6), load_ohm in 5.0..200.0f64,
    ) {
        let mut network = Network::new(60.0);
        let omega = network.omega_rad_per_s();
        let ground = network.ground();
        let mut at = network.node("source");
        let source_v = Element::VoltageSource(Source::sine(100.0 * SQRT_2, 0.7));
        network.branch("source", at, ground, source_v);
        for (k, (series, shunt)) in rungs.iter().enumerate() {
            let next = network.node(&format!("n{k}"));
            network.branch(&format!("series {k}"), at, next, series.element(omega));
            network.branch(&format!("shunt {k}"), next, ground, shunt.element(omega));
            at = next;
        }
        let resistor = Element::Resistor { resistance_ohm: load_ohm };
        let load = network.branch("load", at, ground, resistor);
        // From the load backwards: what 1 A in the load asks of the source.
        let (mut v, mut i) = (Complex64::new(load_ohm, 0.0), Complex64::new(1.0, 0.0));
        for (series, shunt) in rungs.iter().rev() {
            i += v / shunt.impedance();
            v += i * series.impedance();
        }
        let want = 100.0 / v.norm();
        // Ladders close to an undamped resonance lose digits; 1e-7 leaves four of them.
        close(rms_a(&network, load), want, 1e-7, "chain of impedances");
    }
}
