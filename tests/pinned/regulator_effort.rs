//! Effort of the solver, as integers: a change that makes it work harder shows here.

use loopcrest::circuit::{Flow, StepPlan};
use loopcrest::regulator::protection::{Protection, TrialBench};
use loopcrest::regulator::{ControlLoop, ResistiveLoad, ResonantRegulator, SolveOptions};

/// The trials of the default protection stop where it acts: half cycles computed for each, and not one
/// more; one that never acts is watched to its end.
#[test]
fn pinned_protection_trials_stop_where_the_protection_acts() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let protection = Protection::default();
    let (control, target_a) = (ControlLoop::default(), 6.6);
    let mut effort = Vec::new();
    for load_ratio in [0.02, 0.6] {
        let bench = TrialBench {
            regulator: &regulator,
            control,
            protection: &protection,
            target_a,
            load_ratio,
        };
        let trials = bench.overcurrent_trials().unwrap();
        for run in bench.run_all(&trials).unwrap() {
            effort.push(run.map(|run| run.half_cycles.len()));
        }
    }
    // Shorted, then at 60 %: a control fault and a raised target to 105 %, a control fault to 125 %, a
    // supply that jumps, against which the control holds: watched to the end.
    let expected = [465, 474, 60, 846, 466, 475, 61, 846].map(Some);
    assert_eq!(effort, expected, "half cycles computed until the trip");
}

#[test]
fn pinned_cold_operating_points_take_three_or_four_iterations_and_a_dozen_steps() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let mut effort = Vec::new();
    for load in [0.02, 0.5, 1.0] {
        for target_a in [2.8, 4.1, 6.6] {
            let load = ResistiveLoad::new(load * 230.0).unwrap();
            let held = regulator.hold(&load, target_a, None, &SolveOptions::default()).unwrap();
            let point = held.held().unwrap();
            let mut flow = Flow::new(&point.circuit, StepPlan::default()).unwrap();
            flow.set_delay_rad(point.solution.delay_rad);
            flow.start(&point.solution.section).unwrap();
            flow.advance_to(point.solution.section.time_s + 0.5 / 60.0, None).unwrap();
            effort.push((point.solution.iterations, flow.steps()));
        }
    }
    let iterations: Vec<usize> = effort.iter().map(|(iterations, _)| *iterations).collect();
    assert_eq!(iterations, [4, 4, 3, 4, 4, 3, 3, 4, 3], "Newton iterations");
    assert!(effort.iter().all(|(_, steps)| *steps <= 16), "steps in half a period: {effort:?}");
}
