//! `capture --explain`, as a user meets it: one file of each format, the stored text of each.

use std::process::Command;

use loopcrest::capture::{DataKind, Revision, Side, TransientChannel, TransientFile};

fn sine(count: usize, amplitude: f64) -> Vec<f64> {
    (0..count).map(|k| amplitude * (std::f64::consts::TAU * k as f64 / 40.0).sin()).collect()
}

fn write_all(folder: &std::path::Path) {
    let mut text = String::from("Zeit;Strom\n(ms);(mA)\n");
    for (k, i_a) in sine(400, 9334.0).iter().enumerate() {
        text += &format!("{:.1};{i_a:.1}\n", 0.5 * k as f64).replace('.', ",");
    }
    std::fs::write(folder.join("logger.txt"), text).unwrap();
    let current = TransientChannel {
        rated: (30.0, 5.0),
        side: Side::Secondary,
        ..TransientChannel::new("I loop", "A", sine(400, 1.5556))
    };
    let voltage = TransientChannel::new("U", "V", sine(400, 300.0));
    let mut record =
        TransientFile::new(Revision::Of2013, DataKind::Binary, 2000.0, vec![voltage, current]);
    record.line_frequency_hz = Some(50.0);
    std::fs::write(folder.join("recorder.cff"), record.single().unwrap()).unwrap();
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 2000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(folder.join("sound.wav"), spec).unwrap();
    for value in sine(400, 15_000.0) {
        writer.write_sample(0_i16).unwrap();
        writer.write_sample(value as i16).unwrap();
    }
    writer.finalize().unwrap();
    let header = "{'descr': '<f4', 'fortran_order': False, 'shape': (400,), }\n";
    let mut array = b"\x93NUMPY\x01\x00".to_vec();
    array.extend((header.len() as u16).to_le_bytes());
    array.extend(header.bytes());
    sine(400, 9.334).iter().for_each(|i_a| array.extend((*i_a as f32).to_le_bytes()));
    std::fs::write(folder.join("array.npy"), array).unwrap();
}

/// Every decision with the option that changes it; with the option given, the caller is named.
#[test]
fn pinned_explain_names_every_decision() {
    let place = tempfile::tempdir().unwrap();
    write_all(place.path());
    let mut text = String::new();
    for arguments in [
        &["logger.txt"][..],
        &["logger.txt", "--unit", "A", "--sample-rate", "1kHz", "--lowest", "20Hz"],
        &["recorder.cff"],
        &["recorder.cff", "--side", "primary"],
        &["sound.wav"],
        &["sound.wav", "--column", "2", "--full-scale", "20A"],
        &["array.npy", "--sample-rate", "2kHz"],
    ] {
        let output = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .arg("capture")
            .args(arguments)
            .arg("--explain")
            .current_dir(place.path())
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        text += &format!("$ loopcrest capture {} --explain\n", arguments.join(" "));
        text += &String::from_utf8(output.stdout).unwrap();
        text += &String::from_utf8(output.stderr).unwrap();
        text += "\n";
    }
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed/explain.txt");
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

/// The same decisions as data, and no verdict where nobody knows the amperes.
#[test]
fn pinned_json_carries_what_was_understood() {
    let place = tempfile::tempdir().unwrap();
    write_all(place.path());
    let run = |arguments: &[&str]| -> serde_json::Value {
        let output = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .args(["capture", "--json"])
            .args(arguments)
            .current_dir(place.path())
            .output()
            .unwrap();
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let record = run(&["recorder.cff", "--side", "primary"]);
    assert_eq!(record["understood"]["format"], "COMTRADE, single file");
    assert!(record["understood"]["separator"].is_null());
    let explained = record["understood"]["explained"].as_array().unwrap();
    let side = explained.iter().find(|part| part["what"] == "side").unwrap();
    assert_eq!(side["change_with"], "--side");
    // 1.5556 A on the side of 5, seen on the side of 30; peak over root two, 16 bits of it.
    let rms_a = record["measures"]["rms_a"].as_f64().unwrap();
    assert!((rms_a - 6.0 * 1.5556 / 2.0_f64.sqrt()).abs() < 1e-3, "{rms_a}");
    let sound = run(&["sound.wav", "--column", "2"]);
    assert_eq!(sound["step"]["no_verdict"], "the file gives no amperes");
    assert!(sound["step"]["placement"].is_null());
}
