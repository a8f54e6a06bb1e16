//! A wrong description names file, line, field, value, allowed range and what to try.

use std::path::Path;

use loopcrest::description::{CurrentOrigin, Description};
use loopcrest::error::Error;
use loopcrest::lamp::LifeChange;
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
    let codes: Vec<_> = cases.notes.iter().map(|note| note.code).collect();
    assert_eq!(codes, ["generic-model"], "nothing but what the model is");
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

    let regulator = "[regulator]\nrating = \"10 kW\"\nload = \"300 %\"\n\n[[meter]]";
    let (message, line, _) = refused("[[meter]]", regulator);
    assert!(message.contains("load is 300 % of rated, allowed is 0.1 to 200 % of"), "{message}");
    assert_eq!(line, Some(14));

    // 6.5 mA is 0.0065 A, whatever the conversion leaves in the last digits.
    let own = "[[steps.own]]\nnumber = 1\nnominal = \"6.6 A\"\nlow = \"6.5 mA\"\nhigh = \"6.7 A\"\nsource = \"x\"";
    let (message, ..) = refused("circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"", own);
    assert!(message.contains(" is 0.0065 A, allowed"), "{message}");

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
        ("true", "found true"),
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
        ("[[meter]]", "[lamps]\nsource = \"\"\n[[meter]]", "the source of the exponents"),
        ("name = \"clamp\"", "name = \"a\\nb\"", "a name of one line"),
        (
            "name = \"clamp\"",
            "name = \"01234567890123456789012345678901234567890\"",
            "41 characters",
        ),
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

/// Own steps with these fields; the place must be the line of the field that is wrong.
fn own_step(number: &str, nominal: &str, source: &str) -> (String, Option<usize>) {
    let own = format!(
        "[[steps.own]]\nnumber = 2\nnominal = \"6.6 A\"\nlow = \"6.5 A\"\nhigh = \"6.7 A\"\nsource = \
         \"x\"\n[[steps.own]]\nnumber = {number}\nnominal = \"{nominal}\"\nlow = \"5.1 A\"\nhigh = \
         \"5.3 A\"\nsource = \"{source}\""
    );
    let (message, line, _) = refused("circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"", &own);
    (message, line)
}

#[test]
fn law_a_wrong_step_is_pointed_at_where_it_stands() {
    for (number, nominal, source, part, line) in [
        ("0", "5.2 A", "x", "step number is 0, allowed is 1 to 20", 13),
        ("2", "5.2 A", "x", "step 2 is given twice", 13),
        ("1", "5.6 A", "x", "5.6 A lies outside its band", 14),
        ("1", "5.2 A", " ", "the source of the band", 17),
    ] {
        let (message, at) = own_step(number, nominal, source);
        assert!(message.contains(part), "{message}");
        // The step's first line is the sixth of the good text; its own come seven further down.
        assert_eq!(at, Some(line), "{message}");
    }
}

#[test]
fn law_a_harmonic_above_its_fundamental_is_a_forgotten_percent() {
    let with = |ratio: &str| {
        format!(
            "[current.shape.harmonics]\nlist = [{{ order = 3, ratio = {ratio}, phase = \"0 deg\" }}]"
        )
    };
    let (message, line, hint) = refused("[current]\nshape = \"sine\"", &with("6.5"));
    assert!(message.contains("harmonic ratio is 6.5, allowed is 0 to 1"), "{message}");
    assert!(hint.contains("did you mean 6.5 %?"), "{hint}");
    assert_eq!(line, Some(10));
    let (message, ..) = refused("[current]\nshape = \"sine\"", &with("\"120 %\""));
    assert!(message.contains("harmonic ratio is 120 %, allowed is 0 to 100 %"), "{message}");
}

#[test]
fn law_no_message_speaks_of_types() {
    for (old, new, part) in [
        ("format = 1", "format = \"1\"", "expected a whole number, found the text \"1\""),
        ("title = \"bench\"", "title = 5", "expected a text in quotes, found the number 5"),
        ("invented = true", "invented = 1", "expected true or false, found the number 1"),
        ("shape = \"sine\"", "at = 5", "expected a list in square brackets, found the number 5"),
        ("shape = \"sine\"", "shape = \"sine\"\noffset = []", "found a list"),
        ("[[meter]]", "[[current.at]]\nstep = -1\n[[meter]]", "expected a whole number"),
        ("shape = \"sine\"", "shape = \"pulse\"", "expected a table"),
    ] {
        let (message, ..) = refused(old, new);
        assert!(message.contains(part), "{new}: {message}");
        for word in ["u32", "i64", "string", "sequence", " map", "variant", "struct", "integer"] {
            assert!(!message.contains(word), "{new}: {message}");
        }
    }
}

#[test]
fn law_detectors_are_read_as_data_sheets_spell_them() {
    for typed in ["Average", "AVERAGE", " average "] {
        let text = GOOD.replace("detector = \"average\"", &format!("detector = \"{typed}\""));
        assert_eq!(parse(&text).unwrap().meters[0].detector.key(), "average", "{typed}");
    }
    let text = GOOD.replace("detector = \"average\"", "detector = \"True RMS\"");
    assert_eq!(parse(&text).unwrap().meters[0].detector.key(), "true-rms");
    for (typed, meant) in [("TRMS", "true-rms"), ("avg", "average"), ("peek", "peak")] {
        let (_, line, hint) = refused("detector = \"average\"", &format!("detector = \"{typed}\""));
        assert_eq!((line, hint), (Some(14), format!("did you mean \"{meant}\"?")));
    }
}

/// Own steps say nothing of what the lamps are made for, so that the life law needs to be told.
#[test]
fn law_own_steps_need_a_rated_current_for_the_life_of_lamps() {
    let own = GOOD.replace(
        "circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"",
        "[[steps.own]]\nnumber = 1\nnominal = \"2.8 A\"\nlow = \"2.7 A\"\nhigh = \"2.9 A\"\nsource = \"x\"",
    );
    let life = |text: &str| {
        let description = parse(text).unwrap();
        let cases = description.cases().unwrap().value;
        let survey = description.survey(&cases).unwrap();
        survey.results()[0].judgements[0].trimmed.unwrap().effect.life
    };
    assert_eq!(life(&own), LifeChange::NotGoverning);
    let told = own.replace("[[meter]]", "[lamps]\nrated-current = \"2.8 A\"\n[[meter]]");
    // A sine on an average-responding meter is trimmed to the nominal itself.
    let LifeChange::Ratio(ratio) = life(&told) else { panic!("{:?}", life(&told)) };
    assert_relative(ratio, 1.0, 1e-4, "rectified mean of a sine on the grid");
    let LifeChange::Ratio(_) = life(GOOD) else { panic!("{:?}", life(GOOD)) };
}

/// A record of a plain sine of this RMS current and frequency, and the good text with it.
fn with_record(folder: &Path, rms_a: f64, frequency_hz: f64) -> Result<Vec<String>, Error> {
    let mut rows = String::from("time (s),current (A)\n");
    for sample in 0..2000 {
        let time_s = f64::from(sample) / 5000.0;
        let phase_rad = std::f64::consts::TAU * frequency_hz * time_s;
        rows += &format!("{time_s},{:.6}\n", rms_a * std::f64::consts::SQRT_2 * phase_rad.sin());
    }
    std::fs::write(folder.join("record.csv"), rows).unwrap();
    let at = "shape = \"sine\"\n[[current.at]]\nstep = 5\ncapture = { file = \"record.csv\", column = 2 }";
    let description = Description::parse(&GOOD.replace("shape = \"sine\"", at), folder)?;
    let noted = description.cases()?;
    Ok(noted.notes.iter().map(|note| note.code.to_owned()).collect())
}

#[test]
fn law_a_record_far_from_its_step_or_supply_is_noticed_or_refused() {
    let place = tempfile::tempdir().unwrap();
    let codes = |rms_a, hz| with_record(place.path(), rms_a, hz).unwrap();
    assert!(codes(6.5, 60.0).is_empty());
    assert_eq!(codes(6.5, 50.0), ["other-frequency"]);
    assert_eq!(codes(5.0, 60.0), ["scaled-far"]);
    let error = with_record(place.path(), 0.66, 60.0).unwrap_err();
    assert!(error.to_string().contains("more than a factor of 2"), "{error}");
    assert!(error.hint().unwrap().contains("clamp"), "{error:?}");
}

/// The good text with a capture at step 5 that is written so.
fn with_capture(folder: &Path, capture: &str) -> Result<f64, Error> {
    let at = format!("shape = \"sine\"\n[[current.at]]\nstep = 5\ncapture = {{ {capture} }}");
    let description = Description::parse(&GOOD.replace("shape = \"sine\"", &at), folder)?;
    let cases = description.cases()?.value;
    let origin = cases.iter().find_map(|case| case.origin.split_once("capture ")).unwrap().1;
    let recorded = origin.split(", ").nth(1).unwrap().split(' ').next().unwrap();
    Ok(recorded.parse().unwrap())
}

/// What the command line can say of a file, a description can.
#[test]
fn law_a_description_says_how_a_capture_is_written() {
    let place = tempfile::tempdir().unwrap();
    let wave = |k: u32| (std::f64::consts::TAU * 60.0 * f64::from(k) / 6000.0).sin();
    // Milliseconds that nobody says are milliseconds, and commas that could separate cells.
    let mut text = String::from("x;y\n");
    for k in 0..1200 {
        let row = format!("{:.4};{:.4}\n", f64::from(k) / 6.0, 9.3 * wave(k));
        text += &row.replace('.', ",");
    }
    std::fs::write(place.path().join("ms.txt"), text).unwrap();
    let written = "separator = \"semicolon\", decimal = \"comma\", time-unit = \"ms\"";
    let recorded_a = with_capture(place.path(), &format!("file = \"ms.txt\", {written}")).unwrap();
    assert_relative(recorded_a, 9.3 / std::f64::consts::SQRT_2, 1e-3, "printed to a milliampere");
    let error = with_capture(place.path(), "file = \"ms.txt\"").unwrap_err();
    assert!(
        error.to_string().contains("list of RMS readings") || error.hint().is_some(),
        "{error}"
    );

    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 6000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut sound = hound::WavWriter::create(place.path().join("part.wav"), spec).unwrap();
    for k in 0..1200 {
        sound.write_sample((16_384.0 * wave(k)).round() as i16).unwrap();
    }
    sound.finalize().unwrap();
    // Half of full scale is the peak.
    let recorded_a =
        with_capture(place.path(), "file = \"part.wav\", full-scale = \"18.6 A\"").unwrap();
    assert_relative(recorded_a, 9.3 / std::f64::consts::SQRT_2, 1e-3, "printed to a milliampere");

    for (capture, said) in [
        ("file = \"part.wav\", full-scale = \"18.6 s\"", "amperes or volts"),
        ("file = \"part.wav\", full-scale = 18.6", "amperes or volts"),
        ("file = \"part.wav\", side = \"both\"", "both"),
        ("file = \"part.wav\", section = 0", "section"),
        ("file = \"ms.txt\", separator = \"|\"", "|"),
        ("file = \"ms.txt\", full-scale = \"20 A\", time-unit = \"ms\"", "full scale"),
    ] {
        let error = with_capture(place.path(), capture).unwrap_err();
        assert!(error.to_string().contains(said), "{capture}: {error}");
    }
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
