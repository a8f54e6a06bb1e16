//! A wrong description names file, line, field, value, allowed range and what to try.

use std::path::Path;

use loopcrest::description::{CurrentOrigin, Description};
use loopcrest::error::Error;
use proptest::prelude::*;

use crate::support::assert_relative;

fn parse(text: &str) -> Result<Description, Error> {
    Description::parse(text, Path::new(""))
}

const GOOD: &str = r#"format = 1
title = "bench"
invented = true

[steps]
circuit = "6.6A-5-step"
bands = "ufc-2005"

[current]
shape = "sine"

[[meter]]
name = "clamp"
detector = "average"
"#;

/// The message, its place and its hint for the good text with one line replaced.
fn refused(old: &str, new: &str) -> (String, Option<usize>, String) {
    assert!(GOOD.contains(old), "the good text has no {old:?}");
    let error = parse(&GOOD.replacen(old, new, 1)).unwrap_err();
    let line = error.place().map(|place| place.line);
    (error.to_string(), line, error.hint().unwrap_or_default().to_owned())
}

#[test]
fn law_the_embedded_description_is_read_and_says_it_is_invented() {
    let description = Description::embedded();
    assert!(description.is_invented);
    assert_eq!(description.steps.steps().len(), 5);
    assert_eq!(description.currents.len(), 5);
    let cases = description.cases().unwrap();
    assert!(cases.notes.is_empty());
    for case in cases.value {
        let rms_a = case.waveform.measures().dc.rms_a;
        assert_relative(rms_a, case.step.nominal.a(), 1e-12, "scaled to the nominal");
    }
}

#[test]
fn law_the_shortest_description_is_read() {
    let description = parse(GOOD).unwrap();
    assert_eq!(description.title, "bench");
    assert_relative(description.frequency_hz, 60.0, 1e-15, "the default");
    assert_eq!(description.meters.len(), 1);
}

#[test]
fn law_unknown_fields_name_the_nearest_spelling() {
    let (message, line, hint) = refused("circuit =", "circiut =");
    assert!(message.contains("unknown field \"circiut\""), "{message}");
    assert_eq!((line, hint.as_str()), (Some(6), "did you mean \"circuit\"?"));

    let (message, line, hint) = refused("detector = \"average\"", "detector = \"averge\"");
    assert!(message.contains("one of true-rms"), "{message}");
    assert_eq!((line, hint.as_str()), (Some(14), "did you mean \"average\"?"));

    let (_, line, hint) = refused("\"6.6A-5-step\"", "\"6.6A-5step\"");
    assert_eq!((line, hint.as_str()), (Some(6), "did you mean \"6.6A-5-step\"?"));

    let (message, line, hint) = refused("shape = \"sine\"", "shape = \"sin\"");
    assert!(message.contains("unknown word \"sin\""), "{message}");
    assert_eq!((line, hint.as_str()), (Some(10), "did you mean \"sine\"?"));
}

#[test]
fn law_values_out_of_range_show_value_range_line_and_field() {
    let (message, line, _) = refused("[steps]", "[supply]\nfrequency = \"400 Hz\"\n\n[steps]");
    assert!(message.contains("mains frequency is 400 Hz, allowed is 40 to 70 Hz"), "{message}");
    assert!(message.contains("(frequency)"), "{message}");
    assert_eq!(line, Some(6));

    let cut = "[current.shape.phase-cut]\ndelay = \"200 deg\"";
    let (message, line, _) = refused("[current]\nshape = \"sine\"", cut);
    assert!(
        message.contains("phase-cut delay is 200 deg, allowed is 0 to 179.82 deg"),
        "{message}"
    );
    assert_eq!(line, Some(10));

    let list = "[current.shape.harmonics]\nlist = [\n { order = 3, ratio = \"20 %\", phase = \"0 deg\" },\n { order = 1, ratio = 0.1, phase = \"0 deg\" },\n]";
    let (message, line, _) = refused("[current]\nshape = \"sine\"", list);
    assert!(message.contains("harmonic order is 1, allowed is 2 to 2000"), "{message}");
    assert!(message.contains("(order)"), "{message}");
    assert_eq!(line, Some(12));
}

#[test]
fn law_quantities_without_unit_say_how_to_write_them() {
    for (value, part) in [
        ("60", "the bare number 60"),
        ("\"60\"", "without a unit"),
        ("\"60 A\"", "the unit \"A\""),
        ("true", "boolean"),
    ] {
        let table = format!("[supply]\nfrequency = {value}\n\n[steps]");
        let (message, line, _) = refused("[steps]", &table);
        assert!(message.contains(part), "{message}");
        assert!(message.contains("such as \"60 Hz\""), "{message}");
        assert_eq!(line, Some(6), "{message}");
    }
}

#[test]
fn law_contradictions_and_gaps_are_named() {
    for (old, new, part) in [
        ("title = \"bench\"\n", "", "the field `title`"),
        ("invented = true\n", "", "the field `invented`"),
        ("title = \"bench\"", "title = \" \"", "a title"),
        ("format = 1", "format = 2", "format 1, found format 2"),
        ("bands = \"ufc-2005\"", "bands = \"ufc\"", "one of ufc-2005"),
        ("\"6.6A-5-step\"", "\"20A-5-step\"", "have not been read"),
        ("shape = \"sine\"", "offset = 0.1", "additions only"),
        ("shape = \"sine\"", "", "a current for step 5"),
        (
            "shape = \"sine\"",
            "shape = \"sine\"\n[[current.at]]\nstep = 9\nshape = \"sine\"",
            "step 9",
        ),
        ("shape = \"sine\"", "shape = \"sine\"\n[[current.at]]\nstep = 5", "a shape or a capture"),
        (
            "shape = \"sine\"",
            "shape = \"sine\"\ncapture = { file = \"x.csv\" }",
            "both a shape and a capture",
        ),
        ("name = \"clamp\"", "name = \"\"", "a name for the meter"),
        ("title = \"bench\"", "title = \"bench", "valid TOML"),
        ("title = \"bench\"", "title = \"bench\"\ntitle = \"bench\"", "each field once"),
        (
            "circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"",
            "[[steps.own]]\nnumber = 1\nnominal = \"6.6 A\"\nlow = \"6.7 A\"\nhigh = \"6.5 A\"\nsource = \"x\"",
            "a band from 6.7 A to 6.5 A is empty",
        ),
        (
            "[[meter]]",
            "[[meter]]\nname = \"clamp\"\ndetector = \"peak\"\n[[meter]]",
            "two meters are named \"clamp\"",
        ),
        ("[[meter]]", "[lamps]\ncurrent-exponent = -1.0\n[[meter]]", "above zero"),
    ] {
        let (message, line, _) = refused(old, new);
        assert!(message.contains(part), "{new}: {message}");
        assert!(line.is_some(), "{new}: no place in {message}");
    }
}

#[test]
fn law_own_bands_carry_their_source() {
    let own = GOOD.replace(
        "circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"",
        "[[steps.own]]\nnumber = 1\nnominal = \"6,6 A\"\nlow = \"6.5 A\"\nhigh = \"6.7 A\"\nsource = \"order 12\"",
    );
    let step = parse(&own).unwrap().steps.top().clone();
    assert_eq!(step.source.to_string(), "order 12 (entered by the user)");
    assert_relative(step.nominal.a(), 6.6, 1e-15, "decimal comma");
}

#[test]
fn law_additions_and_own_currents_reach_the_waveform() {
    let text = GOOD.replace(
        "shape = \"sine\"",
        "shape = \"sine\"\noffset = \"10 %\"\nnoise = { ratio = 0.01, seed = 3 }\nring-down = { ratio = 0.2, order = 20, decay = \"20 deg\", start = \"90 deg\" }\n[[current.at]]\nstep = 1\nshape = \"square\"\nhighest-order = 49",
    );
    let description = parse(&text).unwrap();
    let CurrentOrigin::Shape(shape) = &description.currents[0] else { panic!("a shape") };
    assert_relative(shape.offset_ratio, 0.1, 1e-15, "percent");
    assert!(shape.noise.is_some() && shape.ring_down.is_some());
    let cases = description.cases().unwrap().value;
    let measures = cases[0].waveform.measures();
    assert_relative(measures.mean_a / measures.ac.rms_a, 0.1, 0.05, "ringing and noise beside it");
    assert!(cases[4].origin.contains("no harmonic above 49"), "{}", cases[4].origin);
}

#[test]
fn law_missing_files_are_named() {
    let error = Description::read(Path::new("no-such-description.toml")).unwrap_err();
    assert!(error.to_string().starts_with("no-such-description.toml: "), "{error}");
}

proptest! {
    /// One byte of the embedded file changed at random: read or refused, never a panic; and when
    /// refused, with a message that is not empty.
    #[test]
    fn law_no_change_of_a_byte_makes_the_reader_panic(at in 0_usize..3000, byte in 0_u8..128) {
        let mut bytes = Description::EMBEDDED_TEXT.as_bytes().to_vec();
        let at = at % bytes.len();
        bytes[at] = byte;
        if let Ok(text) = String::from_utf8(bytes)
            && let Err(error) = parse(&text)
        {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn law_no_text_makes_the_reader_panic(text in "\\PC{0,200}") {
        prop_assert!(parse(&text).is_err());
    }
}
