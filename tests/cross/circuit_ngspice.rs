//! Our runs against ngspice-39: decks, options and raw output are under `tests/reference/ngspice`.
//! It shares neither method nor model of the switch: trapezoidal steps of 2 us, diodes that drop
//! about 15 mV, gates on a fixed clock.
//!
//! `LOOPCREST_NGSPICE_RUN` names a folder `run.sh` has just filled, to be judged instead of the
//! committed output.

use loopcrest::circuit::{
    Circuit, Flow, PeriodicSolution, ShootingOptions, Symmetry, find_periodic,
};
use loopcrest::regulator::SolveOptions;
use serde_json::Value;

use super::circuit_reference::{
    Course, field, gap_of_peak, json, number, numbers, regulator, section, table, tight,
};

/// Three periods from our own periodic state, row by row of the simulator's output.
///
/// Asked for is 0.2 % of peak; the simulator's diode drop, 15 mV behind 1,000 V, and the steps it
/// resamples from are a twentieth of that at most, so a twentieth is the limit here.
fn compare(deck: &str, row: &Value, circuit: &Circuit, solution: &PeriodicSolution, phase: f64) {
    const LIMIT: f64 = 1e-4;
    let theirs = match std::env::var_os("LOOPCREST_NGSPICE_RUN") {
        Some(folder) => numbers(&std::path::Path::new(&folder).join(format!("{deck}.csv"))),
        None => table(&format!("ngspice/{deck}.csv")),
    };
    assert_eq!(theirs.len(), 3 * 720 + 1, "three periods and the end point");
    let times_s: Vec<f64> = theirs.iter().map(|line| line[0]).collect();
    let course = Course::of(circuit, solution, phase, 3.0 + 1e-6);
    for (column, branch) in [(1, "output reactor"), (2, "capacitor"), (3, "control reactor")] {
        let ours = course.state(branch, row, &times_s).unwrap();
        let theirs: Vec<f64> = theirs.iter().map(|line| line[column]).collect();
        let gap = gap_of_peak(&ours, &theirs);
        eprintln!("{deck:18} {branch:16} {:.5} % of peak", 100.0 * gap);
        assert!(gap < LIMIT, "{deck}, {branch}: {gap:.2e} of peak");
        assert!(gap > 0.0, "{deck}, {branch}: two programs never agree in every digit");
    }
}

fn row(id: &str) -> Value {
    let rows = json("shooting/operating_points.json")["points"].as_array().unwrap().clone();
    rows.into_iter().find(|row| row["id"] == id).unwrap()
}

/// The operating point is ours from beginning to end: delay and state as our solver finds them.
#[test]
fn cross_ngspice_stays_on_our_waveform_for_three_periods() {
    for (deck, id) in [
        ("light", "load-0.02-step-4.1"),
        ("half", "load-0.5-step-2.8"),
        ("full", "load-1.0-step-4.1"),
        ("one_open", "open-1-of-50-step-4.1"),
        ("five_open", "open-5-of-50-step-2.8"),
    ] {
        let row = row(id);
        let options = SolveOptions::default();
        let held = regulator(&row).hold(&field(&row), number(&row, "step_a"), None, &options);
        let point = held.unwrap().held().unwrap();
        let phase_rad = number(&row, "source_phase_rad");
        compare(deck, &row, &point.circuit, &point.solution, phase_rad);
    }
}

/// The stable solution without half-wave symmetry, at the delay of the lowest step.
#[test]
fn cross_ngspice_stays_on_an_asymmetric_solution_of_ours() {
    for (deck, id) in
        [("asymmetric_light", "load-0.02-step-2.8"), ("asymmetric_half", "load-0.5-step-2.8")]
    {
        let row = row(id);
        let beside = json("shooting/coexisting.json");
        let beside = beside["points"].as_array().unwrap();
        let beside = beside.iter().find(|other| other["beside"] == id).unwrap();
        let others = beside["asymmetric"].as_array().unwrap();
        let other = others.iter().find(|other| other["stable"] == true).unwrap();
        let phase_rad = number(other, "source_phase_rad");
        let delay_rad = number(&row, "delay_rad");
        let network = regulator(&row).network(&field(&row), delay_rad).unwrap().network;
        let circuit = Circuit::new(&network).unwrap();
        let start = section(&circuit, &row, &other["initial_state"], phase_rad);
        let mut flow = Flow::new(&circuit, tight().plan).unwrap();
        flow.start(&start).unwrap();
        flow.advance_to(start.time_s + 0.25 / 60.0, None).unwrap();
        let options = ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() };
        let solution = find_periodic(&circuit, &flow.section(), None, None, &options).unwrap();
        compare(deck, &row, &circuit, &solution, phase_rad);
    }
}
