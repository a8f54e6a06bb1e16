//! The protection on the simulated regulator.

use loopcrest::regulator::protection::{
    LimitPlacement, Protection, SteadyRise, Trial, TrialBench, TripCause,
};
use loopcrest::regulator::{ControlLoop, ResonantRegulator};

/// A control fault to 105 %: what the simulated current takes longer than one that jumps there at once
/// is what it needs to pass the set-point; from there on both agree within a half cycle and the window.
#[test]
fn physics_a_control_fault_trips_as_the_closed_form_says() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let protection = Protection::default();
    for load_ratio in [0.02, 0.6] {
        let control = ControlLoop::default();
        let bench = TrialBench {
            regulator: &regulator,
            control,
            protection: &protection,
            target_a: 6.6,
            load_ratio,
        };
        let run = bench.run(Trial::ControlFault { to_ratio: 1.05 }).unwrap().unwrap();
        let rise = SteadyRise { before_ratio: 1.0, after_ratio: 1.05, gain: 1.0 };
        let (_, closed_s) = protection.time_to_trip_s(&rise, 60.0).unwrap();
        let after = run.half_cycles.iter().filter(|half| half.time_s > run.event_s + 1e-9);
        let rises = after.take_while(|half| half.half_cycle_rms_a < 1.03 * 6.6).count();
        let late_s = run.time_to_trip_s().unwrap() - closed_s;
        let half_s = 1.0 / 120.0;
        assert!(late_s > -half_s * 1.01, "{load_ratio}: {late_s}");
        assert!(late_s < (rises as f64 + 1.01) * half_s, "{load_ratio}: {late_s} after {rises}");
        assert!((run.reached_ratio - 1.05).abs() < 1e-3, "{}", run.reached_ratio);
        assert_eq!(run.verdict().unwrap().placement, LimitPlacement::Inside);
        // Beyond the regulator's own reach the fault drifts: later by no more than that takes.
        for to_ratio in [1.16, 1.25, 1.4] {
            let run = bench.run(Trial::ControlFault { to_ratio }).unwrap().unwrap();
            let rise = SteadyRise { before_ratio: 1.0, after_ratio: to_ratio, gain: 1.0 };
            let (cause, closed_s) = protection.time_to_trip_s(&rise, 60.0).unwrap();
            assert_eq!(cause, TripCause::Stage(1));
            assert_eq!(run.trip.unwrap().cause, cause, "{load_ratio} {to_ratio}");
            let late_s = run.time_to_trip_s().unwrap() - closed_s;
            let longest_s = (Trial::DRIFT_HALF_CYCLES as f64 + 1.01) * half_s;
            assert!(late_s > -1.01 * half_s && late_s < longest_s, "{to_ratio}: {late_s}");
            assert!((run.reached_ratio / to_ratio - 1.0).abs() < 2e-3, "{}", run.reached_ratio);
        }
        // The control brings a supply jump back before the first stage has waited its time.
        let jump = bench.run(Trial::SupplyJump { voltage_ratio: 1.1 }).unwrap().unwrap();
        assert!(jump.trip.is_none() && jump.above_pickup_s < 0.2, "{}", jump.above_pickup_s);
        let open = bench.run(Trial::CircuitOpened).unwrap().unwrap();
        assert_eq!(open.trip.unwrap().cause, TripCause::OpenCircuit);
        assert_eq!(open.verdict().unwrap().placement, LimitPlacement::Inside);
    }
}
