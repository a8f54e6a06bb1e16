//! Time to trip of a protection whose detector looks at a window of half cycles.

use loopcrest::cited::Source;
use loopcrest::regulator::HalfCycle;
use loopcrest::regulator::protection::{
    LimitPlacement, OvercurrentStage, Protection, ProtectionLaw, ProtectionWatch, ResetRule,
    SteadyRise, TimeLimit, TripCause,
};

use crate::support::assert_absolute;

/// A half cycle of a sine of this RMS that ends at the k-th half cycle of 60 Hz.
fn half(k: usize, rms_a: f64) -> HalfCycle {
    HalfCycle {
        time_s: k as f64 / 120.0,
        half_cycle_rms_a: rms_a,
        half_cycle_arv_a: rms_a * 2.0 * std::f64::consts::SQRT_2 / std::f64::consts::PI,
        cycle_rms_a: None,
        sensed_a: None,
        peak_a: rms_a * std::f64::consts::SQRT_2,
        target_a: rms_a,
        delay_rad: 2.0,
    }
}

pub(crate) fn protection(law: ProtectionLaw, window: usize, delay_s: f64) -> Protection {
    Protection {
        law,
        window_half_cycles: window,
        reset: ResetRule::AtOnce,
        stages: vec![OvercurrentStage {
            pickup_ratio: 1.03,
            delay_s,
            tried: None,
            tried_within_ratio: None,
        }],
        open_circuit: None,
    }
}

/// Closed form by hand: window of 10 half cycles, from 1 to 1.1 of rated, pick-up 1.03:
/// 10 (1.03² − 1)/(1.1² − 1) = 10 · 0.0609/0.21 = 2.9, so the third half cycle picks up; 0.5 s are 60
/// half cycles more: 63/120 s. Average: 10 · 0.03/0.1 = 3, the third as well; peak: the first.
#[test]
fn exact_a_window_and_a_delay_add_up_by_hand() {
    for (law, half_cycles) in [
        (ProtectionLaw::TrueRms, 63.0),
        (ProtectionLaw::Average, 63.0),
        (ProtectionLaw::Peak, 61.0),
    ] {
        let rise = SteadyRise { before_ratio: 1.0, after_ratio: 1.1, gain: 1.0 };
        let (cause, time_s) = protection(law, 10, 0.5).time_to_trip_s(&rise, 60.0).unwrap();
        assert_eq!(cause, TripCause::Stage(0));
        assert_absolute(time_s, half_cycles / 120.0, 1e-12, "one product");
    }
}

/// The watch, shown a current that jumps, acts when the closed form says.
#[test]
fn exact_the_watch_acts_when_the_closed_form_says() {
    for law in ProtectionLaw::ALL {
        for window in [1, 2, 5, 20] {
            for after in [1.02, 1.035, 1.05, 1.25, 2.0] {
                let protection = protection(law, window, 0.2);
                let mut watch = ProtectionWatch::new(&protection, 6.6);
                for k in 1..=window + 3 {
                    assert!(watch.take(&half(k, 6.6)).is_none());
                }
                let from_s = (window + 3) as f64 / 120.0;
                let got =
                    (window + 4..window + 100).find_map(|k| watch.take(&half(k, after * 6.6)));
                let rise = SteadyRise { before_ratio: 1.0, after_ratio: after, gain: 1.0 };
                let want = protection.time_to_trip_s(&rise, 60.0);
                assert_eq!(got.is_some(), want.is_some(), "{law:?} {window} {after}");
                if let (Some(got), Some((_, want_s))) = (got, want) {
                    assert_absolute(got.time_s - from_s, want_s, 1e-9, "sums of half cycles");
                }
            }
        }
    }
}

#[test]
fn exact_a_timer_begins_anew_or_runs_back() {
    // 6 half cycles above, 2 below, then above for good; delay 10 half cycles, window 1. Anew: the
    // ninth is the first again and the tenth after it acts, the 19th. Back: 5 half cycles have run, 3
    // are left after two below, the ninth starts the clock and 7 more end it, the 16th.
    for (reset, want) in [(ResetRule::AtOnce, 19), (ResetRule::RunsBack, 16)] {
        let mut protection = protection(ProtectionLaw::TrueRms, 1, 10.0 / 120.0);
        protection.reset = reset;
        let mut watch = ProtectionWatch::new(&protection, 6.6);
        let level = |k: usize| if k == 7 || k == 8 { 6.6 } else { 7.0 };
        let acted = (1..60).find(|k| watch.take(&half(*k, level(*k))).is_some());
        assert_eq!(acted, Some(want), "{reset:?}");
    }
}

#[test]
fn exact_edges_of_a_limit_are_inside() {
    let source = Source::entered("a test");
    let limit = TimeLimit { shortest_s: Some(3.0), longest_s: Some(5.0), source };
    let placed = [Some(2.999), Some(3.0), Some(5.0), Some(5.001), None].map(|t| limit.place(t));
    let (inside, early) = (LimitPlacement::Inside, LimitPlacement::TooEarly);
    let (late, none) = (LimitPlacement::TooLate, LimitPlacement::DidNotAct);
    assert_eq!(placed, [early, inside, inside, late, none]);
}
