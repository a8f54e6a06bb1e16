//! Time to trip against `tests/reference/protection`: sampled sines averaged by convolution.

use loopcrest::regulator::protection::{ProtectionLaw, SteadyRise};

use super::circuit_reference::{json, number};
use crate::exact::protection::protection;
use crate::support::assert_absolute;

#[test]
fn cross_times_to_trip_agree_with_sampled_currents() {
    let reference = json("protection/trip_times.json");
    let cases = reference["cases"].as_array().unwrap();
    let mut acted = 0;
    for case in cases {
        let law = ProtectionLaw::from_key(case["law"].as_str().unwrap()).unwrap();
        let window = number(case, "window_half_cycles") as usize;
        let rise = SteadyRise {
            before_ratio: number(case, "before_ratio"),
            after_ratio: number(case, "after_ratio"),
            gain: 1.0,
        };
        let protection = protection(law, window, number(case, "delay_s"));
        let got = protection.time_to_trip_s(&rise, number(case, "frequency_hz"));
        match case["time_s"].as_f64() {
            None => assert!(got.is_none(), "{case}"),
            Some(want_s) => {
                acted += 1;
                assert_absolute(got.unwrap().1, want_s, 1e-9, "whole half cycles on both sides");
            }
        }
    }
    assert!(cases.len() == 80 && acted > 60, "{acted} of {}", cases.len());
}
