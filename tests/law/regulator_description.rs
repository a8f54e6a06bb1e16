//! A wrong [regulator] names line, field, value and range; right values reach the model.

use std::f64::consts::{SQRT_2, TAU};
use std::path::Path;

use loopcrest::description::Description;

use crate::support::assert_relative;

const GOOD: &str = "format = 1\ntitle = \"bench\"\ninvented = true\n[supply]\nfrequency = \"50 Hz\"\n\
                    [steps]\ncircuit = \"6.6A-5-step\"\n[regulator]\nrating = \"10 kW\"\n\
                    load = \"2 %\"\n[[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";

fn parse(text: &str) -> Result<Description, loopcrest::error::Error> {
    Description::parse(text, Path::new(""))
}

#[test]
fn law_wrong_regulators_are_named_with_their_line() {
    for (old, new, part, line) in [
        ("\"10 kW\"", "\"10 W\"", "rated power is 10 W, allowed is 100 to 1000000 W", 9),
        ("\"10 kW\"", "\"10 A\"", "the unit \"A\"", 9),
        ("\"2 %\"", "\"0 %\"", "allowed is", 10),
        ("load = \"2 %\"", "load = \"2 %\"\nsense = \"peak\"", "one of true-rms, average", 11),
        ("load = \"2 %\"\n", "", "the field `load`", 8),
        (
            "load = \"2 %\"",
            "load = \"2 %\"\n[regulator.values]\niron-exponent = 8",
            "an odd iron exponent",
            12,
        ),
        (
            "load = \"2 %\"",
            "load = \"2 %\"\n[regulator.values]\ncapacitor-reactanc = \"1 ohm\"",
            "unknown field",
            12,
        ),
        (
            "load = \"2 %\"",
            "load = \"2 %\"\n[regulator.control]\nintegral = \"2000 deg\"",
            "gain of the control is 2000 deg",
            12,
        ),
        ("[steps]", "voltage = \"5 %\"\n[steps]", "supply voltage over rated", 6),
        (
            "[steps]",
            "[[supply.harmonic]]\norder = 1\nratio = \"3 %\"\nphase = \"0 deg\"\n[steps]",
            "order of a supply harmonic is 1",
            7,
        ),
    ] {
        assert!(GOOD.contains(old), "{old}");
        let error = parse(&GOOD.replacen(old, new, 1)).unwrap_err();
        let message = error.to_string();
        assert!(message.contains(part), "{new}: {message}");
        assert_eq!(error.place().map(|place| place.line), Some(line), "{new}: {message}");
    }
}

#[test]
fn law_values_of_a_description_reach_the_model() {
    let text = GOOD.replace(
        "load = \"2 %\"",
        "load = \"2 %\"\n[regulator.values]\nsource = \"1500 V\"\ninput-reactance = \"200 ohm\"\n\
         capacitor-reactance = \"210 ohm\"\ncontrol-reactance = \"70 ohm\"\n\
         output-reactance = \"220 ohm\"\niron-knee = \"2000 V\"\niron-exponent = 11",
    );
    let values = parse(&text).unwrap().regulator.unwrap().regulator.values;
    let omega = TAU * 50.0;
    let why = "one division by the angular frequency of 50 Hz";
    assert_relative(values.source_rms_v, 1500.0, 1e-15, why);
    assert_relative(values.input_inductance_h * omega, 200.0, 1e-14, why);
    assert_relative(1.0 / (values.capacitance_f * omega), 210.0, 1e-14, why);
    assert_relative(values.control_inductance_h * omega, 70.0, 1e-14, why);
    assert_relative(values.output_inductance_h * omega, 220.0, 1e-14, why);
    assert_relative(values.iron_knee_wb * omega / SQRT_2, 2000.0, 1e-14, why);
    assert_eq!(values.iron_exponent, 11);
    assert_relative(values.rated_current_rms_a, 6.6, 1e-15, "the top step's nominal");
}

/// A step that cannot be held is a finding with its limit, not an error; the others are judged.
#[test]
fn law_a_step_out_of_reach_is_a_note() {
    let low = GOOD
        .replace("[steps]", "voltage = \"80 %\"\n[steps]")
        .replace("load = \"2 %\"", "load = \"100 %\"");
    let noted = parse(&low).unwrap().cases().unwrap();
    assert_eq!(noted.value.len(), 4, "the top step alone is out of reach");
    let note = noted.notes.iter().find(|note| note.code == "out-of-reach").unwrap();
    assert!(note.text.contains("step 5 (6.6 A)") && note.text.contains("highest"), "{}", note.text);
}
