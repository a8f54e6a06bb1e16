//! Conductors: the law of temperature, the gauge, and what must not be confused.

use loopcrest::series::{Conductor, ConductorSize};

use crate::support::{assert_absolute, assert_relative};

/// r(T2)/r(T1) of one linear law seen from another temperature: 0.00393/(1 + 0.00393 · 55) = 0.00323.
#[test]
fn exact_both_laws_of_temperature_are_one_law() {
    let at_20 = Conductor::named("6mm2-class2").unwrap();
    let at_75 = Conductor::named("8awg-stranded").unwrap();
    assert_absolute(at_20.reference_degc, 20.0, 0.0, "the table's own reference");
    assert_absolute(at_75.reference_degc, 75.0, 0.0, "the table's own reference");
    let seen = at_20.coefficient_per_k.value / (1.0 + at_20.coefficient_per_k.value * 55.0);
    assert_absolute(seen, at_75.coefficient_per_k.value, 5e-6, "half of the last printed digit");
    for temperature_degc in [-40.0, 0.0, 25.0, 90.0] {
        let one = at_20.resistance_ohm_per_m(temperature_degc).unwrap()
            / at_20.resistance_ohm_per_m(75.0).unwrap();
        let other = at_75.resistance_ohm_per_m(temperature_degc).unwrap()
            / at_75.resistance_ohm_per_m(75.0).unwrap();
        assert_absolute(one, other, 5e-6 * 115.0, "half a digit of the coefficient over 115 K");
    }
}

/// 3.08 ohm/km against 0.778 ohm/kft, both at 20 °C.
#[test]
fn exact_6_mm2_has_47_percent_more_than_8_awg() {
    let at_20 = |key| Conductor::named(key).unwrap().resistance_ohm_per_m(20.0).unwrap();
    assert_relative(1e3 * at_20("8awg-stranded"), 2.099, 5e-4, "derived to four digits");
    assert_absolute(at_20("6mm2-class2") / at_20("8awg-stranded"), 1.47, 0.005, "whole percent");
}

/// Cross-sections of the gauge's closed form, as the trade rounds them.
#[test]
fn exact_areas_of_the_gauge() {
    assert_absolute(1e6 * ConductorSize::Awg8.area_m2(), 8.37, 0.005, "two decimals are usual");
    assert_absolute(1e6 * ConductorSize::Awg6.area_m2(), 13.30, 0.005, "two decimals are usual");
    assert_absolute(1e6 * ConductorSize::Mm6.area_m2(), 6.0, 1e-12, "by its name");
}

#[test]
fn exact_an_unknown_conductor_lists_its_size_and_warns_of_the_other() {
    for (typed, listed, never) in [
        ("6mm2", "6mm2-class2", "8awg-stranded"),
        ("6 mm²", "6mm2-class5-tinned", "10mm2-class2"),
        ("AWG 8", "8awg-solid", "6mm2-class2"),
        ("8 awg", "8awg-stranded", "6awg-stranded"),
        ("10mm2", "10mm2-class2", "6mm2-class2"),
    ] {
        let error = Conductor::named(typed).unwrap_err();
        let said = error.to_string();
        assert!(said.contains(listed) && !said.contains(never), "{typed}: {said}");
    }
    let error = Conductor::named("6mm2").unwrap_err();
    let hint = error.hint().unwrap();
    assert!(hint.contains("6 mm2 is not 8 AWG (8.37 mm2)") && hint.contains("47 %"), "{hint}");
    let error = Conductor::named("lead").unwrap_err().to_string();
    assert!(Conductor::all().iter().all(|conductor| error.contains(conductor.key)), "{error}");
}

#[test]
fn exact_every_key_is_its_own_and_found() {
    for (at, conductor) in Conductor::all().iter().enumerate() {
        let found = Conductor::named(conductor.key).unwrap();
        assert_eq!(found.name, Conductor::all()[at].name);
        assert!(conductor.resistance_ohm_per_m(200.0).is_err(), "hotter than any insulation");
    }
}
