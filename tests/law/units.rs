//! Quantities at the edge of the program.

use loopcrest::units::{Dimension, parse, parse_number};

use crate::support::assert_relative;

const ROUNDING: &str = "one multiplication";

#[test]
fn law_quantities_are_read_as_people_write_them() {
    for (text, dimension, want) in [
        ("6.6 A", Dimension::Current, 6.6),
        ("6,6 A", Dimension::Current, 6.6),
        (" 250mA ", Dimension::Current, 0.25),
        ("1e3 mA", Dimension::Current, 1.0),
        ("-2.5E-3 kA", Dimension::Current, -2.5),
        ("60Hz", Dimension::Frequency, 60.0),
        ("2 kHz", Dimension::Frequency, 2000.0),
        ("180 deg", Dimension::Angle, std::f64::consts::PI),
        ("90°", Dimension::Angle, std::f64::consts::FRAC_PI_2),
        ("1 rad", Dimension::Angle, 1.0),
        ("6.5 %", Dimension::Ratio, 0.065),
        ("0.25", Dimension::Ratio, 0.25),
        ("100 mV/A", Dimension::ClampFactor, 0.1),
        ("1 V/kA", Dimension::ClampFactor, 0.001),
        ("20 µs", Dimension::Time, 20e-6),
        ("10 kW", Dimension::Power, 10_000.0),
        ("230 Ω", Dimension::Impedance, 230.0),
        ("1.5 kV", Dimension::Voltage, 1500.0),
    ] {
        assert_relative(parse(text, dimension).unwrap(), want, 1e-15, ROUNDING);
    }
}

#[test]
fn law_wrong_quantities_say_what_is_wrong() {
    for (text, dimension, part) in [
        ("6.6", Dimension::Current, "without a unit"),
        ("6.6 V", Dimension::Current, "the unit \"V\""),
        ("A", Dimension::Current, "without a number"),
        ("", Dimension::Current, "without a number"),
        ("1,234,5 A", Dimension::Current, "without a number"),
        ("1e999 A", Dimension::Current, "without a number"),
        ("1e308 kA", Dimension::Current, "beyond every number"),
        ("6.6 Α", Dimension::Current, "the unit"),
        ("nan A", Dimension::Current, "without a number"),
        ("5 % %", Dimension::Ratio, "the unit"),
    ] {
        let message = parse(text, dimension).unwrap_err().to_string();
        assert!(message.contains(part), "{text}: {message}");
        assert!(message.contains(dimension.example()), "{text}: {message}");
    }
}

#[test]
fn law_numbers_take_point_or_comma_never_both() {
    assert_eq!(parse_number("1.5"), Some(1.5));
    assert_eq!(parse_number("1,5"), Some(1.5));
    assert_eq!(parse_number("1,500.0"), None);
    assert_eq!(parse_number("inf"), None);
    assert_eq!(parse_number(""), None);
}
