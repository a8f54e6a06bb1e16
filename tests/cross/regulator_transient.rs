//! A step of load at a held firing delay against `tests/reference/transient/step_of_load.json`
//! (forward run in Python, DOP853 at 1e-13, no periodicity assumed).

use loopcrest::circuit::{Circuit, Flow, PendingFiring, Section, SenseLaw, StepPlan, Trajectory};
use loopcrest::regulator::{ResistiveLoad, ResonantRegulator};
use serde_json::Value;

const STATES: [(&str, &str); 5] = [
    ("input reactor", "i_in_a"),
    ("capacitor", "v_c_v"),
    ("control reactor", "i_ctl_a"),
    ("output reactor", "i_o_a"),
    ("iron", "flux_wb"),
];

fn check(run: &Value) {
    let number = |key: &str| run[key].as_f64().unwrap();
    let load = ResistiveLoad::new(230.0 * number("load_ratio_after")).unwrap();
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let branches = regulator.network(&load, number("delay_rad")).unwrap();
    let circuit = Circuit::new(&branches.network).unwrap();
    let omega = branches.network.omega_rad_per_s();
    let state = |name: &str| {
        circuit.state_of(branches.network.find(name).unwrap()).expect("every one has a state")
    };
    let mut section = Section::at_rest(number("source_phase_rad") / omega, 5);
    for (name, key) in STATES {
        section.state[state(name)] = run["initial_state"][key].as_f64().unwrap();
    }
    // The run begins at a zero of v_c with the triac on: its firing is already decided.
    section.switches_on = 1;
    section.pending = vec![PendingFiring { switch: 0, in_s: number("delay_rad") / omega }];
    let mut flow = Flow::new(&circuit, StepPlan::fine()).unwrap();
    flow.set_sense(Some((branches.output, SenseLaw::TrueRms)));
    flow.start(&section).unwrap();
    let mut course = Trajectory::default();
    for (half, theirs) in run["half_cycles"].as_array().unwrap().iter().enumerate() {
        flow.reset_sensed();
        let end_s = section.time_s + (half + 1) as f64 / 120.0;
        flow.advance_to(end_s, Some(&mut course)).unwrap();
        let rms_a = (flow.sensed().unwrap().0 * 120.0).sqrt();
        let want = theirs["rms_a"].as_f64().unwrap();
        assert!((rms_a - want).abs() < 2e-9, "ten digits: half cycle {half}: {rms_a} {want}");
    }
    for (name, key) in STATES {
        let want = run["final_state"][key].as_f64().unwrap();
        let got = flow.state()[state(name)];
        let peak = flow.scale()[state(name)];
        // Their own error over twenty half cycles is 1e-9 of the peak.
        assert!((got - want).abs() < 1e-9 * peak, "{key}: {got} {want}");
    }
    let switchings = course.switchings();
    let theirs: Vec<f64> = run["events"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|event| event["what"] != "crossing")
        .map(|event| event["time_s"].as_f64().unwrap())
        .collect();
    assert_eq!(switchings.len(), theirs.len(), "every firing and every turn-off");
    for ((got_s, _), want_s) in switchings.iter().zip(&theirs) {
        let got_s = got_s - section.time_s;
        assert!((got_s - want_s).abs() < 1e-11, "twelve digits: {got_s} {want_s}");
    }
}

#[test]
fn cross_a_step_of_load_runs_as_the_reference_does() {
    let text = include_str!("../reference/transient/step_of_load.json");
    let reference: Value = serde_json::from_str(text).unwrap();
    let runs = reference["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 3);
    runs.iter().for_each(check);
}
