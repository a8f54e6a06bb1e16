//! Our reader and an independent one (PyPI `comtrade`) find the same numbers in the same files, and it
//! reads what we write. Files and its results: `tests/reference/comtrade`.

use std::path::PathBuf;

use loopcrest::capture::{
    DataKind, FileLayout, ReadOptions, Revision, Side, TransientChannel, TransientFile, read_file,
};
use serde_json::Value;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/comtrade")
}

/// A distorted current, a voltage on a transformer's secondary side, one value missing where a code
/// exists for it, and status channels.
fn ours(kind: DataKind) -> TransientFile {
    let turn = |k: usize| std::f64::consts::TAU * k as f64 / 32.0;
    let current = |k: usize| 9.3 * turn(k).sin() + 1.1 * (3.0 * turn(k)).sin();
    let mut i: Vec<f64> = (0..64).map(current).collect();
    // That reader knows no empty cells of text.
    if kind != DataKind::Ascii {
        i[5] = f64::NAN;
    }
    let u: Vec<f64> = (0..64).map(|k| 230.0 * turn(k).cos()).collect();
    let voltage = TransientChannel {
        rated: (600.0, 5.0),
        side: Side::Secondary,
        ..TransientChannel::new("U loop", "V", u)
    };
    let revision = match kind {
        DataKind::Ascii | DataKind::Binary => Revision::Of1999,
        _ => Revision::Of2013,
    };
    TransientFile {
        status_channels: 18,
        line_frequency_hz: Some(50.0),
        ..TransientFile::new(
            revision,
            kind,
            1600.0,
            vec![TransientChannel::new("I loop", "A", i), voltage],
        )
    }
}

/// The bytes the independent reader was given are the bytes we write.
#[test]
fn pinned_written_records_are_the_ones_that_were_read() {
    for kind in DataKind::ALL {
        let file = ours(kind);
        let base = format!("ours_{}", kind.word().to_lowercase());
        let single = TransientFile { revision: Revision::Of2013, ..file.clone() };
        for (end, bytes) in [
            ("cfg", file.configuration().unwrap().into_bytes()),
            ("dat", file.data().unwrap()),
            ("cff", single.single().unwrap()),
        ] {
            let path = folder().join(format!("{base}.{end}"));
            if std::env::var_os("LOOPCREST_STORE").is_some() {
                std::fs::write(&path, &bytes).unwrap();
            }
            assert_eq!(std::fs::read(&path).unwrap(), bytes, "{}", path.display());
        }
    }
}

/// Both multiply by the factor and add the offset; that reader keeps its values in 32-bit floats or
/// rounds otherwise by at most that.
#[test]
fn cross_an_independent_reader_finds_the_same_numbers() {
    let text = std::fs::read_to_string(folder().join("expected.json")).unwrap();
    let json: Value = serde_json::from_str(&text).unwrap();
    let files = json["files"].as_object().unwrap();
    assert_eq!(files.len(), 16, "four kinds, two writers, two files or one");
    for (name, expected) in files {
        let noted = read_file(folder().join(name), &ReadOptions::default()).unwrap();
        let record = noted.value;
        let FileLayout::Transient(layout) = &record.layout else { panic!("{name}") };
        assert_eq!(record.len() as u64, expected["samples"].as_u64().unwrap(), "{name}");
        assert_eq!(layout.status_channels as u64, expected["status"].as_u64().unwrap(), "{name}");
        assert_eq!(layout.line_frequency_hz, expected["frequency_hz"].as_f64(), "{name}");
        let year = layout.revision.year().to_string();
        assert_eq!(year, expected["revision"].as_str().unwrap(), "{name}");
        let rate_hz = expected["rates"][0][0].as_f64().unwrap();
        assert_eq!(record.timing.as_ref().map(|t| t.sample_rate_hz), Some(rate_hz), "{name}");
        let channels = expected["channels"].as_array().unwrap();
        assert_eq!(record.channels.len(), channels.len(), "{name}");
        for (channel, theirs) in record.channels.iter().zip(channels) {
            let label = format!("{name} {}", channel.label());
            assert_eq!(channel.name.as_deref(), theirs["name"].as_str().map(str::trim), "{label}");
            assert_eq!(channel.unit.as_deref(), theirs["unit"].as_str().map(str::trim), "{label}");
            let (primary, secondary) = channel.scale.rated.unwrap();
            assert_eq!(primary, theirs["primary"].as_f64().unwrap(), "{label}");
            assert_eq!(secondary, theirs["secondary"].as_f64().unwrap(), "{label}");
            let values = theirs["values"].as_array().unwrap();
            let span =
                values.iter().filter_map(Value::as_f64).fold(0.0, |m: f64, v| m.max(v.abs()));
            for (k, value) in values.iter().enumerate() {
                match (channel.value(k), value.as_f64()) {
                    (Some(ours), Some(theirs)) => assert!(
                        (ours - theirs).abs() <= 1e-6 * span,
                        "{label} {k}: {ours} and {theirs}; a float32 keeps 6e-8"
                    ),
                    (ours, theirs) => assert_eq!(ours.is_none(), theirs.is_none(), "{label} {k}"),
                }
            }
        }
    }
}
