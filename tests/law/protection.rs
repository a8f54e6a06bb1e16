//! A protection is monotone; what makes no sense is refused with its line.

use std::path::Path;

use loopcrest::description::Description;
use loopcrest::regulator::protection::{Protection, ProtectionLaw, SteadyRise};

/// A higher multiple never trips later.
#[test]
fn law_a_higher_multiple_never_trips_later() {
    for law in ProtectionLaw::ALL {
        for window_half_cycles in [1, 2, 7, 40] {
            let protection = Protection { law, window_half_cycles, ..Protection::default() };
            let mut last_s = f64::INFINITY;
            for k in 0..500 {
                let after_ratio = 1.0 + 0.002 * f64::from(k);
                let rise = SteadyRise { before_ratio: 0.9, after_ratio, gain: 0.98 };
                if let Some((_, time_s)) = protection.time_to_trip_s(&rise, 50.0) {
                    assert!(time_s <= last_s, "{law:?} {window_half_cycles} at {after_ratio}");
                    last_s = time_s;
                } else {
                    assert!(last_s.is_infinite(), "it never stops acting higher up");
                }
            }
            assert!(last_s < 1.0, "the second stage acts at twice the rated current");
        }
    }
}

const GOOD: &str = "format = 1\ntitle = \"bench\"\ninvented = true\n\
                    [steps]\ncircuit = \"6.6A-5-step\"\n[regulator]\nrating = \"10 kW\"\n\
                    load = \"2 %\"\n[regulator.protection]\nwindow-half-cycles = 4\n\
                    [[regulator.protection.overcurrent]]\npickup = \"103 %\"\ndelay = \"2 s\"\n\
                    tried-at = \"105 %\"\nshortest = \"1 s\"\nlongest = \"4 s\"\nsource = \"here\"\n\
                    [[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";

#[test]
fn law_a_wrong_protection_is_named_with_its_line() {
    let protection = Description::parse(GOOD, Path::new("")).unwrap().regulator.unwrap().protection;
    assert_eq!(protection.window_half_cycles, 4);
    assert_eq!(protection.stages.len(), 1, "stages given replace ours");
    for (old, new, part, line) in [
        ("\"103 %\"", "\"98 %\"", "overcurrent pick-up over rated current is 98", 12),
        ("shortest = \"1 s\"", "shortest = \"9 s\"", "not below the longest", 15),
        ("cycles = 4", "cycles = 0", "window of the protection's detector is 0", 10),
        ("\"105 %\"", "\"102 %\"", "cannot be tried at", 12),
        ("\"2 s\"", "\"-2 s\"", "delay of a protection is -2 s", 13),
        ("source = \"here\"\n", "", "the `source` of these times", 15),
        ("cycles = 4", "cycles = 4\ndetector = \"rms\"", "one of true-rms, average, peak", 11),
    ] {
        assert!(GOOD.contains(old), "{old}");
        let error = Description::parse(&GOOD.replacen(old, new, 1), Path::new("")).unwrap_err();
        let message = error.to_string();
        assert!(message.contains(part), "{new}: {message}");
        assert_eq!(error.place().map(|place| place.line), Some(line), "{new}: {message}");
    }
}
