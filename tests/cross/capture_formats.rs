//! Transient records and sound files analysed by an independent program, and damaged ones with the
//! behaviour stated for each: the data of `cross/capture.rs`, in the formats that are not text.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::path::Path;

use loopcrest::capture::{
    ChannelOptions, ColumnChoice, CutOptions, FileLayout, Format, FullScale, ReadOptions, Record,
    Stretch, read_file,
};
use loopcrest::error::{ErrorKind, Noted};
use serde_json::Value;

use super::capture::{data, expected, misses};

fn read(file: &Path) -> Noted<Record> {
    read_file(file, &ReadOptions::default()).unwrap()
}

fn told(noted: &Noted<Record>, code: &str) -> bool {
    noted.notes.iter().any(|note| note.code == code)
}

const TRANSIENT: [(&str, &str); 8] = [
    ("dv01", "dv01_keating_1999.cfg"),
    ("dv01", "dv01_keating_1999.dat"),
    ("dv02", "dv02_binary32_2013.cfg"),
    ("dv03", "dv03_ascii_2013.cff"),
    ("dv04", "dv04_float32_2013.cff"),
    ("dv05", "dv05_binary_2013_latin1.cfg"),
    ("dv06", "dv06_fridge_inrush_1999.cfg"),
    ("dv07", "dv07_fridge_inrush_float32_2013.cfg"),
];

/// The independent reader multiplies and adds as we do: the last place may differ by one unit.
fn same_values(record: &Record, channels: &[Value], factor: &[f64], label: &str) {
    assert_eq!(record.channels.len(), channels.len(), "{label}: channels");
    for (at, (channel, reference)) in record.channels.iter().zip(channels).enumerate() {
        for (side, start) in [("first3", 0), ("last3", record.len() - 3)] {
            for (k, value) in reference[side].as_array().unwrap().iter().enumerate() {
                let want = value.as_f64().unwrap();
                let got = factor.get(at).unwrap_or(&1.0) * channel.value(start + k).unwrap();
                let off = (got - want).abs();
                assert!(off <= 4e-16 * want.abs(), "{label} {at}: {side} {k}: {got} for {want}");
            }
        }
    }
}

#[test]
fn cross_transient_records_are_imported_as_an_independent_reader_does() {
    let Some(folder) = data("the import of seven transient records") else { return };
    for (id, file) in TRANSIENT {
        let json = expected(&folder, id);
        let import = &json["import_expected"];
        let noted = read(&folder.join("dev").join(file));
        let record = &noted.value;
        let FileLayout::Transient(layout) = &record.layout else { panic!("{file}") };
        let whole = |key: &str| import[key].as_u64().unwrap() as usize;
        assert_eq!(record.len(), whole("records_in_data"), "{file}");
        assert_eq!(layout.promised_samples, whole("samples_promised_by_cfg"), "{file}");
        assert_eq!(layout.analog_channels, whole("analog"), "{file}");
        assert_eq!(layout.status_channels, whole("status"), "{file}");
        assert_eq!(layout.kind.word(), import["data_format"].as_str().unwrap(), "{file}");
        let year = layout.revision.year().to_string();
        assert_eq!(year, import["revision_field"].as_str().unwrap(), "{file}");
        let frequency_hz = import["line_frequency"].as_f64().filter(|hz| *hz > 0.0);
        assert_eq!(layout.line_frequency_hz, frequency_hz, "{file}");
        let rate_hz = record.timing.as_ref().unwrap().sample_rate_hz;
        assert_eq!(rate_hz, import["sample_rate_hz"].as_f64().unwrap(), "{file}");
        let says = |key: &str| {
            record.metadata.iter().find(|(k, _)| k == key).map(|(_, value)| value.as_str())
        };
        assert_eq!(says("station"), import["station"].as_str(), "{file}");
        assert_eq!(says("device"), import["device"].as_str(), "{file}");
        let stamp = import["first_stamp"].as_str().unwrap().replace(',', " ");
        assert_eq!(says("first sample"), Some(stamp.as_str()), "{file}");
        assert!(!told(&noted, "promise-not-kept") && record.problem_count == 0, "{file}");
        let channels = json["channels"].as_array().unwrap();
        for (channel, reference) in record.channels.iter().zip(channels) {
            assert_eq!(channel.name.as_deref(), reference["name"].as_str(), "{file}");
            assert_eq!(channel.unit.as_deref(), reference["unit"].as_str(), "{file}");
            assert_eq!(channel.gaps(), 0, "{file}");
        }
        same_values(record, channels, &[], file);
    }
    let scope = read(&folder.join("dev/dv03_ascii_2013.cff"));
    let first_s = scope.value.timing.unwrap().first_time_s.unwrap();
    let json = expected(&folder, "dv03");
    let first_us = json["extra"]["time_of_first_sample_in_file_us"].as_f64().unwrap();
    assert!((first_s * 1e6 - first_us).abs() < 1e-6, "whole microseconds: {first_s}");
}

#[test]
fn cross_sound_files_are_imported_as_an_independent_reader_does() {
    let Some(folder) = data("the import of two sound files") else { return };
    for (id, file, factor) in [
        // Expected in steps of 16 bits.
        ("dv16", "dv16_mains_400Hz_16bit_60s.wav", &[32_768.0][..]),
        ("dv17", "dv17_fridge_24bit_stereo.wav", &[500.0, 20.0]),
    ] {
        let json = expected(&folder, id);
        let import = &json["import_expected"];
        let noted = read(&folder.join("dev").join(file));
        let record = &noted.value;
        assert_eq!(record.layout.format(), Format::Wav);
        assert_eq!(record.len() as u64, import["frames"].as_u64().unwrap(), "{file}");
        let rate_hz = record.timing.as_ref().unwrap().sample_rate_hz;
        assert_eq!(rate_hz, import["rate"].as_f64().unwrap(), "{file}");
        same_values(record, json["channels"].as_array().unwrap(), factor, file);
        assert!(noted.notes.is_empty(), "{file}: {:?}", noted.notes);
    }
}

/// File, expected record and its analyses with the column of each, what full scale is, and the factor
/// from amperes to the expected unit.
type Case = (&'static str, &'static str, &'static [(&'static str, &'static str)], f64);

const ANALYSED: [Case; 5] = [
    (
        "dv01",
        "dv01_keating_1999.cfg",
        &[("U1", "U1"), ("U3", "U3"), ("I1", "I1"), ("I2", "I2"), ("I3", "I3")],
        1.0,
    ),
    ("dv06", "dv06_fridge_inrush_1999.cfg", &[("V", "V"), ("I", "I")], 1.0),
    ("dv07", "dv07_fridge_inrush_float32_2013.cfg", &[("I", "I")], 1000.0),
    ("dv16", "dv16_mains_400Hz_16bit_60s.wav", &[("first_10s", "1"), ("last_10s", "1")], 1.0),
    ("dv17", "dv17_fridge_24bit_stereo.wav", &[("V", "1"), ("I", "2")], 1.0),
];

fn channel_options(id: &str, name: &str, column: &str, record: &Record) -> ChannelOptions {
    let Ok(column) = column.parse::<ColumnChoice>();
    let volts =
        record.channel(&column).unwrap().unit.as_deref().is_some_and(|u| u.starts_with(['V', 'v']));
    let full_scale = match (id, name) {
        ("dv16", _) => Some(FullScale::CurrentA(32_768.0)),
        ("dv17", "V") => Some(FullScale::VoltageV(500.0)),
        ("dv17", _) => Some(FullScale::CurrentA(20.0)),
        _ => None,
    };
    let volts = volts || matches!(full_scale, Some(FullScale::VoltageV(_)));
    // A factor of 1 V/A lets a voltage through number by number.
    ChannelOptions { column, full_scale, clamp_v_per_a: volts.then_some(1.0), unit: None }
}

/// Channels of a record with a steep transient: the largest sample, and the largest value of the curve
/// through the samples by scipy's `resample_poly(x - mean, 16, 1, window=("kaiser", 8), padtype="line")`.
/// The expected values rest on twice the samples, which happen to pass beside the peak.
const STEEP_PEAKS_A: [(&str, f64, f64); 3] = [
    ("U3", 581.12082629651, 583.6577509951126),
    ("I1", 219.6286376342182, 219.6517294125273),
    ("I3", 263.8747937977317, 264.0684067494045),
];

/// Tolerance: `tol_any_window` of the independent program, per quantity; the peaks of a steep transient
/// lie between the largest sample and the largest value of the curve.
#[test]
fn cross_other_formats_give_every_measure_of_the_stated_region() {
    let Some(folder) = data("every measure of three transient records and two sound files") else {
        return;
    };
    let mut bad = Vec::new();
    for (id, file, analyses, per_ampere) in ANALYSED {
        let json = expected(&folder, id);
        let record = read(&folder.join("dev").join(file)).value;
        for (name, column) in analyses {
            let analysis = &json["analysis"][*name];
            let from = analysis["region"]["first_sample"].as_u64().unwrap() as usize;
            let count = analysis["region"]["samples"].as_u64().unwrap() as usize;
            let channel = channel_options(id, name, column, &record);
            let samples = record.current(&channel).unwrap().value;
            // Where the expected values rest on a frequency given by hand, so do ours.
            let fixed = analysis["f1_fixed_by_caller"].as_bool().unwrap();
            let period = analysis["window"]["period_samples_P"].as_f64().unwrap();
            let options = CutOptions {
                stretch: Stretch::Samples { from, to: Some(from + count) },
                frequency_hz: fixed.then(|| samples.sample_rate_hz() / period),
                ..CutOptions::default()
            };
            let cut = samples.cut(&options).unwrap().value;
            let cycles = analysis["window"]["cycles_M"].as_u64().unwrap();
            assert_eq!(cut.cycles as u64, cycles, "{file} {name}: whole periods in the region");
            let (mut missed, worst) = misses(&cut, per_ampere, analysis);
            eprintln!("{file} {name}: at most {worst:.2} of the tolerance");
            let steep = STEEP_PEAKS_A.iter().find(|(steep, ..)| id == "dv01" && steep == name);
            if let Some((_, sample_a, curve_a)) = steep {
                missed.retain(|miss| !miss.starts_with("peak") && !miss.starts_with("crest"));
                let peak_a = cut.waveform.measures().dc.peak_a;
                // The grid may pass beside either; 1e-4 is what any window is allowed elsewhere.
                let within = sample_a * (1.0 - 1e-4)..=curve_a * (1.0 + 1e-4);
                assert!(within.contains(&peak_a), "{name}: {peak_a} not in {within:?}");
            }
            bad.extend(missed.into_iter().map(|miss| format!("{file} {name} {miss}")));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// One record in three formats: the same current within the quantisation each states.
#[test]
fn cross_one_record_in_three_formats_is_one_current() {
    let Some(folder) = data("one record in three formats") else { return };
    let current = |id: &str, file: &str, name: &str, column: &str| {
        let record = read(&folder.join("dev").join(file)).value;
        record.current(&channel_options(id, name, column, &record)).unwrap().value
    };
    let exact = current("dv07", "dv07_fridge_inrush_float32_2013.cfg", "I", "I");
    for (id, file, column, step_a) in [
        // 0.5 mA a number; 20 A in 2^23 numbers.
        ("dv06", "dv06_fridge_inrush_1999.cfg", "I", 0.5e-3),
        ("dv17", "dv17_fridge_24bit_stereo.wav", "2", 20.0 / 8_388_608.0),
    ] {
        let other = current(id, file, "I", column);
        assert_eq!(other.len(), exact.len());
        for k in 0..exact.len() {
            let (a, b) = (exact.sample_a(k).unwrap(), other.sample_a(k).unwrap());
            // Half a step, and what a float32 of up to 11 A keeps.
            assert!((a - b).abs() <= 0.5 * step_a + 1e-6, "{file} {k}: {b} for {a}");
        }
    }
}

/// `expected_behaviour` of the damaged transient records and sound files.
#[test]
fn cross_damaged_records_are_told_or_refused() {
    let Some(folder) = data("damaged transient records and sound files") else { return };
    let broken = folder.join("broken");

    let cut = read(&broken.join("br01_ascii_cut_midline.cfg"));
    assert_eq!(cut.value.len(), 1238, "the last, cut row is no data");
    assert!(told(&cut, "promise-not-kept") && told(&cut, "data-cut"), "{:?}", cut.notes);

    let error = read_file(broken.join("br03_cfg_cut.cfg"), &ReadOptions::default()).unwrap_err();
    let says = error.to_string();
    assert!(says.contains("incomplete") && says.contains("analog channel"), "{says}");

    let error =
        read_file(broken.join("br04_cfg_without_dat.cfg"), &ReadOptions::default()).unwrap_err();
    assert!(matches!(error.kind(), ErrorKind::Io { .. }), "{error}");
    assert!(error.to_string().contains("br04_cfg_without_dat.dat"), "{error}");

    let sound = read(&broken.join("br05_wav_truncated.wav"));
    assert_eq!(sound.value.len(), 10_000);
    let note = sound.notes.iter().find(|note| note.code == "promise-not-kept").unwrap();
    assert!(note.text.contains("24000"), "{}", note.text);
    let error =
        read_file(broken.join("br06_wav_20bytes.wav"), &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("whole WAV"), "{error}");

    let text = read(&broken.join("br11_ascii_missing_99999.cfg")).value;
    assert_eq!(text.len(), 40);
    let binary = read(&broken.join("br12_binary_missing_8000.cfg")).value;
    assert_eq!(binary.len(), 5);
    for (record, first) in [(&text, 1), (&binary, 0)] {
        for (at, channel) in record.channels.iter().enumerate() {
            assert_eq!(channel.gaps(), 1, "{}", channel.label());
            assert_eq!(channel.value(first + at), None, "one in each channel, a sample later each");
        }
    }

    let more = read(&broken.join("br14_cfg_promises_more.cfg"));
    assert_eq!(more.value.len(), 202);
    let note = more.notes.iter().find(|note| note.code == "promise-not-kept").unwrap();
    assert!(note.text.contains("900") && note.text.contains("202"), "{}", note.text);

    let factor = read(&broken.join("br17_zero_factor.cfg"));
    assert_eq!(factor.value.channels[0].number, 2, "channel 1 is left out");
    let note = factor.notes.iter().find(|note| note.code == "channel-left-out").unwrap();
    assert!(note.text.contains("abc") && note.text.contains("I1"), "{}", note.text);
}

/// "No mains signal on any channel": no number is made from noise.
#[test]
fn cross_a_record_without_load_gives_no_number() {
    let Some(folder) = data("a record without load") else { return };
    let record = read(&folder.join("dev/dv02_binary32_2013.cfg")).value;
    for channel in &record.channels {
        let options = ChannelOptions {
            column: ColumnChoice::Number(channel.number),
            unit: Some("A".to_owned()),
            ..ChannelOptions::default()
        };
        let samples = record.current(&options).unwrap().value;
        match samples.cut(&CutOptions::default()) {
            Err(error) => {
                assert!(matches!(error.kind(), ErrorKind::Inconsistent { .. }), "{error}")
            }
            Ok(cut) => assert!(
                cut.notes.iter().any(|note| matches!(note.code, "weakly-periodic" | "not-steady")),
                "{}: {:?}",
                channel.label(),
                cut.notes
            ),
        }
    }
}
