//! The control loop in time.

use loopcrest::regulator::{
    ControlLoop, LoopEvent, LoopScenario, LoopStart, ResistiveLoad, ResonantRegulator,
    SolveOptions, run_closed_loop,
};

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn load(ratio: f64) -> ResistiveLoad {
    ResistiveLoad::new(ratio * 230.0).unwrap()
}

fn scenario(events: Vec<(f64, LoopEvent)>) -> LoopScenario {
    LoopScenario {
        load: Box::new(load(0.5)),
        target_a: 4.1,
        begin: LoopStart::AtOperatingPoint,
        duration_s: 2.0,
        events,
        samples_per_half_cycle: 64,
    }
}

#[test]
fn physics_an_operating_point_stays_where_it_is() {
    let run = run_closed_loop(&regulator(), &ControlLoop::default(), scenario(vec![])).unwrap();
    assert_eq!(run.half_cycles.len(), 240, "two seconds of 60 Hz");
    assert_eq!(run.times_s.len(), 240 * 64);
    for half in &run.half_cycles {
        assert!((half.half_cycle_rms_a - 4.1).abs() < 1e-8, "{half:?}");
    }
}

#[test]
fn physics_steps_up_and_down_settle_without_overshoot_into_the_new_current() {
    let events = vec![
        (0.2, LoopEvent::Target { target_a: 6.6 }),
        (1.2, LoopEvent::Target { target_a: 2.8 }),
    ];
    let run = run_closed_loop(&regulator(), &ControlLoop::default(), scenario(events)).unwrap();
    let up_s = run.settled_s(0.21, 1.19, 0.015).unwrap() - 0.2;
    assert!(up_s < 0.5, "the top step's band within half a second: {up_s}");
    let top_a = run.highest_cycle_rms_a(0.2, 1.2).unwrap();
    assert!(top_a < 6.7, "no cycle above the top edge of the band: {top_a}");
    let down_s = run.settled_s(1.21, 2.0, 0.03).unwrap() - 1.2;
    assert!(down_s < 0.6, "{down_s}");
    // The delay ends where the periodic solution of that step has it.
    let held = regulator().hold(&load(0.5), 2.8, None, &SolveOptions::default()).unwrap();
    let want = held.held().unwrap().delay_rad();
    let last = run.half_cycles.last().unwrap();
    assert!((last.delay_rad - want).abs() < 2e-3, "{} {want}", last.delay_rad);
}

#[test]
fn physics_switching_on_from_rest_reaches_the_step() {
    let begin = LoopStart::AtRest { delay_rad: 112_f64.to_radians() };
    let on = LoopScenario { begin, ..scenario(vec![]) };
    let run = run_closed_loop(&regulator(), &ControlLoop::default(), on).unwrap();
    assert!(run.half_cycles[0].cycle_rms_a.is_none(), "no cycle has passed yet");
    assert!(run.settled_s(0.0, 2.0, 0.02).is_some_and(|at_s| at_s < 1.5));
}

#[test]
fn physics_short_and_open_load_show_their_currents() {
    let events = vec![
        (0.5, LoopEvent::Load(Box::new(ResistiveLoad::new(0.5).unwrap()))),
        (1.2, LoopEvent::Load(Box::new(ResistiveLoad::new(20_000.0).unwrap()))),
    ];
    let run = run_closed_loop(&regulator(), &ControlLoop::default(), scenario(events)).unwrap();
    let peak_a = run
        .half_cycles
        .iter()
        .filter(|half| half.time_s > 0.5 && half.time_s < 0.6)
        .fold(0.0_f64, |m, half| m.max(half.peak_a));
    assert!(peak_a > 6.2, "the capacitor empties into the short: {peak_a}");
    let back = run.half_cycles.iter().rfind(|half| half.time_s < 1.2).unwrap();
    assert!((back.cycle_rms_a.unwrap() / 4.1 - 1.0).abs() < 0.01, "held again: {back:?}");
    let open = run.half_cycles.last().unwrap();
    assert!(open.cycle_rms_a.unwrap() < 1.0, "an open loop carries almost nothing: {open:?}");
    let edge = ControlLoop::default().delay_max_rad;
    assert!((open.delay_rad - edge).abs() < 1e-12, "the control is at its stop");
}

#[test]
fn physics_a_sag_of_the_supply_is_made_up_for() {
    let events = vec![(0.3, LoopEvent::SupplyVoltage { voltage_ratio: 0.9 })];
    let run = run_closed_loop(&regulator(), &ControlLoop::default(), scenario(events)).unwrap();
    let lowest = run
        .half_cycles
        .iter()
        .filter(|half| half.time_s > 0.3)
        .filter_map(|half| half.cycle_rms_a)
        .fold(f64::INFINITY, f64::min);
    assert!(lowest < 4.0, "the sag shows first: {lowest}");
    let end = run.half_cycles.last().unwrap().cycle_rms_a.unwrap();
    assert!((end - 4.1).abs() < 0.03, "{end}");
}

#[test]
fn law_a_scenario_out_of_order_or_out_of_reach_is_refused() {
    let events = vec![
        (0.5, LoopEvent::Target { target_a: 3.4 }),
        (0.1, LoopEvent::Target { target_a: 2.8 }),
    ];
    let error = run_closed_loop(&regulator(), &ControlLoop::default(), scenario(events));
    assert!(error.unwrap_err().to_string().contains("order"));
    let far = LoopScenario { target_a: 12.0, ..scenario(vec![]) };
    let error = run_closed_loop(&regulator(), &ControlLoop::default(), far);
    assert!(error.unwrap_err().to_string().contains("in reach"));
}
