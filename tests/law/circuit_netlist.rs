//! The netlist for other simulators says what the network says.

use loopcrest::circuit::{NetlistOptions, NetlistStart, netlist_text};
use loopcrest::regulator::{OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions};

fn point() -> OperatingPoint {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let load = ResistiveLoad::new(0.5 * 230.0).unwrap();
    regulator.hold(&load, 4.1, None, &SolveOptions::default()).unwrap().held().unwrap()
}

/// The last field of the line that begins with a name.
fn field(text: &str, name: &str) -> f64 {
    let line = text.lines().find(|line| line.starts_with(name)).unwrap();
    line.rsplit([' ', '=']).next().unwrap().parse().unwrap()
}

#[test]
fn law_the_netlist_holds_every_value_and_every_initial_state() {
    let point = point();
    let text = netlist_text(&point.circuit, &point.solution, &NetlistOptions::default()).unwrap();
    let network = point.circuit.network();
    for (at, branch) in network.branches().iter().enumerate() {
        assert!(text.contains(&format!("* {at}: {} \"{}\"", branch.element.words(), branch.name)));
    }
    for (state, value) in point.solution.section.state.iter().enumerate() {
        let id = point.circuit.state_branch(state);
        let at = network.branch_ids().position(|other| other == id).unwrap();
        let letter = match network.get(id).element.words() {
            "inductor" => 'L',
            _ => 'C',
        };
        let got = field(&text, &format!("{letter}{at} "));
        // Numbers are written so that they read back exactly.
        assert!((got - value).abs() == 0.0, "state {state}: {got} {value}");
    }
    assert!((field(&text, "R9 ") - 115.0).abs() == 0.0, "the load");
    let firings = text.lines().filter(|line| line.contains("PULSE")).count();
    assert_eq!(firings, 2, "one firing per half-wave");
    assert!(text.trim_end().ends_with(".end"));
}

#[test]
fn law_a_netlist_from_rest_differs_in_its_initial_conditions_only() {
    let point = point();
    let rest = NetlistOptions { start: NetlistStart::Rest, ..NetlistOptions::default() };
    let text = netlist_text(&point.circuit, &point.solution, &rest).unwrap();
    let begun = netlist_text(&point.circuit, &point.solution, &NetlistOptions::default()).unwrap();
    let plain = |text: &str| -> Vec<String> {
        text.lines().map(|line| line.split(" IC=").next().unwrap().to_owned()).collect()
    };
    assert_eq!(plain(&text), plain(&begun));
    assert!(text.lines().filter(|line| line.contains("IC=")).all(|line| line.ends_with("IC=0e0")));
}

#[test]
fn law_a_netlist_that_would_begin_with_a_closed_switch_is_refused() {
    let mut point = point();
    point.solution.section.switches_on = 1;
    assert!(netlist_text(&point.circuit, &point.solution, &NetlistOptions::default()).is_err());
}
