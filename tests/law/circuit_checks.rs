//! What is refused before solving, and that the message names the element.

use loopcrest::circuit::{
    BranchId, Circuit, Crossing, Element, GateReference, GateRule, Magnet, Network, Section,
    ShootingOptions, Source, find_periodic,
};

fn resistor(resistance_ohm: f64) -> Element {
    Element::Resistor { resistance_ohm }
}

fn core(core_loss_ohm: Option<f64>) -> Element {
    let magnet = Magnet::OddPower { linear_a: 0.1, power_a: 0.5, knee_wb: 1.0, exponent: 9 };
    Element::SaturatingInductor { magnet, core_loss_ohm }
}

fn source() -> Element {
    Element::VoltageSource(Source::sine(100.0, 0.0))
}

/// A source and a load, to which each case adds one fault.
fn sound() -> Network {
    let mut network = Network::new(60.0);
    let (ground, bus) = (network.ground(), network.node("bus"));
    network.branch("supply", bus, ground, source());
    network.branch("load", bus, ground, resistor(10.0));
    network
}

fn refusal(fault: impl FnOnce(&mut Network)) -> String {
    let mut network = sound();
    assert!(Circuit::new(&network).is_ok(), "the network is sound without the fault");
    fault(&mut network);
    Circuit::new(&network).expect_err("the fault must be refused").to_string()
}

/// What is done wrong to a sound network.
type Fault = Box<dyn FnOnce(&mut Network)>;

#[test]
fn law_every_fault_is_refused_by_name() {
    let cases: Vec<(Fault, &[&str])> = vec![
        (
            Box::new(|n| {
                let (bus, end) = (n.node("bus"), n.node("end"));
                n.branch("stub", bus, end, resistor(1.0));
            }),
            &["end", "dangles", "stub"],
        ),
        (
            Box::new(|n| {
                let (p, q) = (n.node("p"), n.node("q"));
                n.branch("r1", p, q, resistor(1.0));
                n.branch("r2", p, q, resistor(1.0));
            }),
            &["\"p\"", "no path to ground"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch("second supply", bus, ground, source());
            }),
            &["second supply", "loop"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch("buffer", bus, ground, Element::Capacitor { capacitance_f: 1e-6 });
            }),
            &["buffer", "loop"],
        ),
        (
            Box::new(|n| {
                let (bus, mid, ground) = (n.node("bus"), n.node("mid"), n.ground());
                n.branch("choke", bus, mid, Element::Inductor { inductance_h: 1.0 });
                n.branch("iron", mid, ground, core(None));
            }),
            &["iron", "cut set of inductors"],
        ),
        (
            Box::new(|n| {
                let (mid, ground) = (n.node("mid"), n.ground());
                let pump = Element::CurrentSource(Source::sine(1.0, 0.0));
                n.branch("pump", ground, mid, pump);
                n.branch("choke", mid, ground, Element::Inductor { inductance_h: 1.0 });
            }),
            &["pump", "cut set"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch("hot", bus, ground, resistor(-3.0));
            }),
            &["hot", "-3", "resistance"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch("lost", bus, ground, resistor(f64::NAN));
            }),
            &["lost", "NaN"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch("load", bus, ground, resistor(5.0));
            }),
            &["two branches", "load"],
        ),
        (
            Box::new(|n| {
                let bus = n.node("bus");
                n.branch("ring", bus, bus, resistor(5.0));
            }),
            &["ring", "both ends"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                n.branch(
                    "even",
                    bus,
                    ground,
                    Element::SaturatingInductor {
                        magnet: Magnet::OddPower {
                            linear_a: 0.1,
                            power_a: 0.5,
                            knee_wb: 1.0,
                            exponent: 8,
                        },
                        core_loss_ohm: None,
                    },
                );
            }),
            &["even", "odd"],
        ),
        (
            Box::new(|n| {
                let (bus, ground) = (n.node("bus"), n.ground());
                let gate = GateRule {
                    reference: GateReference::Supply,
                    crossing: Crossing::Either,
                    delay_rad: 4.0,
                };
                n.branch("late", bus, ground, Element::Triac(gate));
            }),
            &["late", "firing delay", "229"],
        ),
        (
            Box::new(|n| {
                let load = n.find("load").unwrap();
                let supply = n.find("supply").unwrap();
                n.couple(load, supply, 0.5);
            }),
            &["load", "no linear inductor"],
        ),
        (
            Box::new(|n| {
                let (bus, mid, ground) = (n.node("bus"), n.node("mid"), n.ground());
                let ideal = Element::IdealPrimary { turns_ratio: 2.0 };
                n.branch("half a transformer", bus, mid, ideal);
                n.branch("rest", mid, ground, resistor(1.0));
            }),
            &["half a transformer", "0 secondaries"],
        ),
        (
            Box::new(|n| {
                let windings: Vec<BranchId> = ["w1", "w2", "w3"]
                    .iter()
                    .map(|name| {
                        let (bus, ground) = (n.node("bus"), n.ground());
                        n.branch(name, bus, ground, Element::Inductor { inductance_h: 1.0 })
                    })
                    .collect();
                n.couple(windings[0], windings[1], 0.9);
                n.couple(windings[1], windings[2], 0.9);
                n.couple(windings[0], windings[2], -0.9);
            }),
            &["coupled windings contradict"],
        ),
    ];
    for (fault, words) in cases {
        let message = refusal(fault);
        for word in words {
            assert!(message.contains(word), "\"{message}\" does not say \"{word}\"");
        }
    }
}

#[test]
fn law_a_network_without_ground_is_refused() {
    let mut network = Network::new(60.0);
    let (p, q) = (network.node("p"), network.node("q"));
    network.branch("supply", p, q, source());
    network.branch("load", p, q, resistor(1.0));
    let message = network.check().unwrap_err().to_string();
    assert!(message.contains("no ground"), "{message}");
    assert!(Network::new(60.0).check().is_err(), "an empty network");
    assert!(sound().with_frequency_hz(f64::INFINITY).check().is_err());
}

#[test]
fn law_a_closing_switch_that_shorts_the_supply_is_refused_when_it_closes() {
    let mut network = sound();
    let (bus, ground) = (network.node("bus"), network.ground());
    let gate =
        GateRule { reference: GateReference::Supply, crossing: Crossing::Either, delay_rad: 1.0 };
    network.branch("crowbar", bus, ground, Element::Triac(gate));
    let circuit = Circuit::new(&network).unwrap();
    let start = Section::at_rest(0.0, 0);
    let error = find_periodic(&circuit, &start, None, None, &ShootingOptions::default());
    let message = error.unwrap_err().to_string();
    assert!(message.contains("crowbar") && message.contains("short"), "{message}");
}

#[test]
fn law_half_wave_symmetry_is_refused_where_it_cannot_be() {
    let mut network = sound();
    let (bus, out, ground) = (network.node("bus"), network.node("out"), network.ground());
    network.branch("valve", bus, out, Element::Diode);
    network.branch("lamp", out, ground, resistor(3.0));
    let circuit = Circuit::new(&network).unwrap();
    let start = Section::at_rest(0.0, 0);
    let error = find_periodic(&circuit, &start, None, None, &ShootingOptions::default());
    let error = error.unwrap_err();
    assert!(error.to_string().contains("valve"), "{error}");
    assert!(error.hint().is_some_and(|hint| hint.contains("full period")));
}

/// An undamped resonance driven on its resonance has no periodic state: an error, not a number.
#[test]
fn law_a_network_without_a_periodic_state_is_an_error_that_says_where_it_stopped() {
    let mut network = Network::new(60.0);
    let (ground, bus) = (network.ground(), network.node("bus"));
    let omega = network.omega_rad_per_s();
    network.branch("pump", ground, bus, Element::CurrentSource(Source::sine(1.0, 0.0)));
    network.branch("l", bus, ground, Element::Inductor { inductance_h: 1.0 });
    network.branch("c", bus, ground, Element::Capacitor { capacitance_f: 1.0 / (omega * omega) });
    let circuit = Circuit::new(&network).unwrap();
    let start = Section::at_rest(0.0, 2);
    let error = find_periodic(&circuit, &start, None, None, &ShootingOptions::default());
    let message = error.expect_err("it grows without end").to_string();
    assert!(message.contains("periodic state"), "{message}");
}
