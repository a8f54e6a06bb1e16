//! The solver asks for no memory while time runs.

use loopcrest::circuit::{Flow, StepPlan};
use loopcrest::regulator::{ResistiveLoad, ResonantRegulator, SolveOptions};

/// Two periods and twenty ask for the same memory once the flow has begun: none, neither per step
/// nor per event, with the derivatives of the period map carried along and without.
#[test]
fn law_no_memory_is_asked_for_per_time_step() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let load = ResistiveLoad::new(115.0).unwrap();
    let point = regulator.hold(&load, 4.1, None, &SolveOptions::default()).unwrap().held().unwrap();
    for with_derivatives in [false, true] {
        let mut flow = Flow::new(&point.circuit, StepPlan::default()).unwrap();
        flow.set_delay_rad(point.solution.delay_rad);
        let section = &point.solution.section;
        if with_derivatives {
            flow.start_with_derivatives(section).unwrap();
        } else {
            flow.start(section).unwrap();
        }
        // The first period meets every combination of switches.
        flow.advance_to(section.time_s + 1.0 / 60.0, None).unwrap();
        let before = flow.steps();
        let asked = allocation_counter::measure(|| {
            flow.advance_to(section.time_s + 21.0 / 60.0, None).unwrap();
        });
        assert!(flow.steps() - before > 300, "twenty periods take hundreds of steps");
        assert_eq!(asked.count_total, 0, "with derivatives: {with_derivatives}");
    }
    // The counter does see what is asked for.
    assert!(allocation_counter::measure(|| drop(vec![1.0; 100])).count_total > 0);
}
