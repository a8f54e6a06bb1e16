//! What the commands that read captures say: nothing misread, nothing of the cause lost.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

fn run(arguments: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_loopcrest"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap()
}

fn document(arguments: &[&str], folder: &Path) -> Value {
    let output = run(arguments, folder);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A current of 50 Hz at 2 kHz whose amplitude is `amplitude_a(t)`.
fn write_text(file: &Path, amplitude_a: impl Fn(f64) -> f64) {
    let mut text = String::from("time (s),I (A)\n");
    for k in 0..3000 {
        let time_s = f64::from(k) / 2000.0;
        let i_a = amplitude_a(time_s) * (std::f64::consts::TAU * 50.0 * time_s).sin();
        let _ = writeln!(text, "{time_s:.4},{i_a:.6}");
    }
    std::fs::write(file, text).unwrap();
}

/// No crest factor, no step and no meter's reading for a current that never stays: the mean of its
/// periods is no period of it. (A decaying inrush once got a crest factor of 0.95.)
#[test]
fn law_a_current_that_never_stays_gets_no_readings() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    write_text(&folder.join("inrush.csv"), |time_s| 12.0 * (-3.0 * time_s).exp());
    let record = document(&["record", "inrush.csv", "--json", "--out", "plots"], folder);
    assert_eq!(record["steady"]["is_steady"], false);
    assert_eq!(record["measures"], Value::Null);
    assert_eq!(record["readings"], Value::Array(Vec::new()));
    assert!(!folder.join("plots/averaged-period.svg").exists());
    assert!(folder.join("plots/rms.svg").exists());
    std::fs::remove_dir_all(folder.join("plots")).unwrap();
    let row = &document(&["captures", ".", "--json"], folder)["records"][0];
    assert_eq!((&row["crest_factor"], &row["likely_step"]), (&Value::Null, &Value::Null));
    let text = String::from_utf8(run(&["record", "inrush.csv"], folder).stdout).unwrap();
    assert!(text.contains("No one period stands for"), "{text}");
    write_text(&folder.join("inrush.csv"), |_| 9.0);
    let row = &document(&["captures", ".", "--json"], folder)["records"][0];
    let crest = row["crest_factor"].as_f64().unwrap();
    // Closed form: a sine has √2; a grid of 256 places or more misses its peak by half a place at most.
    let least = 2_f64.sqrt() * (std::f64::consts::PI / 256.0).cos();
    assert!((least - 1e-6..2_f64.sqrt() + 1e-6).contains(&crest), "six decimals: {crest}");
}

/// What full scale means is known to the caller alone, whichever command reads the sound.
#[test]
fn law_every_command_takes_the_full_scale_of_a_sound() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 4000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(folder.join("loop.wav"), spec).unwrap();
    for k in 0..4000 {
        let part = 0.5 * (std::f64::consts::TAU * f64::from(k) / 80.0).sin();
        writer.write_sample((32_768.0 * part).round() as i16).unwrap();
    }
    writer.finalize().unwrap();
    // Closed form: half of 20 A over √2.
    let expected_a = 10.0 / 2_f64.sqrt();
    let close = |got: &Value| (got.as_f64().unwrap() / expected_a - 1.0).abs() < 1e-4; // 16 bits
    let scale = ["--full-scale", "20A", "--json"];
    let of = |words: &[&str]| document(&[words, &scale[..]].concat(), folder);
    assert!(close(&of(&["capture", "loop.wav"])["measures"]["rms_a"]));
    assert!(close(&of(&["record", "loop.wav"])["measures"]["rms_a"]));
    assert!(close(&of(&["captures", "."])["records"][0]["rms_a"]));
}

/// A record that was cut short fails for another reason, such as too few periods: the cut is told.
#[test]
fn law_a_failure_tells_the_damage_found_before_it() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let configuration = "here,recorder,1999\r\n1,1A,0D\r\n1,I,,,A,1,0,0,-32767,32767,1,1,P\r\n50\r\n1\r\n\
         2000,900\r\n01/01/2020,00:00:00.000000\r\n01/01/2020,00:00:00.000000\r\nASCII\r\n1\r\n";
    std::fs::write(folder.join("short.cfg"), configuration).unwrap();
    let rows: String = (0..30).map(|k| format!("{},{},{}\r\n", k + 1, 500 * k, k % 7)).collect();
    std::fs::write(folder.join("short.dat"), rows).unwrap();
    for command in ["capture", "record"] {
        let output = run(&[command, "short.cfg"], folder);
        assert_eq!(output.status.code(), Some(2), "{command}");
        let said = String::from_utf8(output.stderr).unwrap().replace("\n", " ");
        assert!(said.contains("promises 900 samples"), "{command}: {said}");
    }
}

/// A description that says its values were fitted is no generic model to any command.
#[test]
fn law_every_command_says_where_the_values_come_from() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    assert!(run(&["starter", "bench.toml"], folder).status.success());
    let text = std::fs::read_to_string(folder.join("bench.toml")).unwrap();
    let fitted = text.replace("values-are = \"generic\"", "values-are = \"fitted\"");
    assert_ne!(fitted, text, "the starter shows the setting");
    std::fs::write(folder.join("fitted.toml"), fitted).unwrap();
    for command in ["operate", "loads", "contrast", "lamps-out"] {
        let said = |file: &str| {
            let output = run(&[command, file], folder);
            assert!(output.status.success(), "{command}: {output:?}");
            String::from_utf8(output.stdout).unwrap().to_lowercase().replace("\n", " ")
        };
        assert!(said("bench.toml").contains("generic"), "{command}");
        let text = said("fitted.toml");
        assert!(text.contains("fitted") && !text.contains("nobody's machine"), "{command}: {text}");
    }
}
