//! Laws of the binary and single-file formats: what is written is read back, what is damaged is told.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::io::Cursor;

use loopcrest::capture::{
    ChannelOptions, ColumnChoice, DataKind, FileLayout, Format, FullScale, ReadOptions, Record,
    Revision, Side, TimingSource, TransientChannel, TransientFile, read_bytes, read_file,
    read_two_parts,
};
use loopcrest::error::{ErrorKind, Noted};
use proptest::prelude::*;

fn read(bytes: &[u8]) -> Noted<Record> {
    read_bytes(bytes, &ReadOptions::default()).unwrap()
}

fn told(noted: &Noted<Record>, code: &str) -> bool {
    noted.notes.iter().any(|note| note.code == code)
}

fn sine(count: usize, amplitude: f64) -> Vec<f64> {
    (0..count).map(|k| amplitude * (std::f64::consts::TAU * k as f64 / 40.0).sin()).collect()
}

fn file(kind: DataKind, values: Vec<f64>) -> TransientFile {
    let current = TransientChannel::new("I", "A", values);
    TransientFile::new(Revision::Of2013, kind, 2000.0, vec![current])
}

fn values() -> impl Strategy<Value = Vec<Vec<f64>>> {
    let value = prop_oneof![9 => -1e4..1e4_f64, 1 => Just(f64::NAN)];
    (1_usize..5, 1_usize..60).prop_flat_map(move |(n, m)| {
        prop::collection::vec(prop::collection::vec(value.clone(), m), n)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every kind of data, both editions, one file or two, with missing values and status channels.
    #[test]
    fn law_transient_records_are_read_back(
        values in values(), kind in 0_usize..4, old in any::<bool>(), single in any::<bool>(),
        status in 0_usize..40, rate_hz in 100.0..1e6_f64, secondary in any::<bool>(),
    ) {
        let kind = DataKind::ALL[kind];
        let wide = matches!(kind, DataKind::Binary32 | DataKind::Float32);
        let revision = if old && !wide { Revision::Of1999 } else { Revision::Of2013 };
        let channels = values.iter().enumerate().map(|(at, values)| TransientChannel {
            rated: (100.0, 5.0),
            side: if secondary { Side::Secondary } else { Side::Primary },
            ..TransientChannel::new(format!("I{at}"), "A", values.clone())
        });
        let file = TransientFile {
            status_channels: status,
            line_frequency_hz: Some(60.0),
            ..TransientFile::new(revision, kind, rate_hz, channels.collect())
        };
        let options = ReadOptions::default();
        let noted = if single && revision == Revision::Of2013 {
            read_bytes(&file.single().unwrap(), &options).unwrap()
        } else {
            let configuration = file.configuration().unwrap();
            read_two_parts(configuration.as_bytes(), file.data().unwrap(), &options).unwrap()
        };
        prop_assert!(!told(&noted, "promise-not-kept"), "{:?}", noted.notes);
        let record = noted.value;
        prop_assert_eq!(record.timing.as_ref().map(|timing| timing.sample_rate_hz), Some(rate_hz));
        prop_assert_eq!(record.channels.len(), values.len());
        for ((channel, written), values) in record.channels.iter().zip(&file.channels).zip(&values) {
            prop_assert_eq!(channel.name.as_deref(), Some(written.name.as_str()));
            prop_assert_eq!(channel.len(), values.len());
            prop_assert_eq!(channel.scale.rated, Some((100.0, 5.0)));
            prop_assert_eq!(channel.scale.side, Some(written.side));
            let (factor, _) = written.linear(kind);
            for (k, value) in values.iter().enumerate() {
                let Some(back) = channel.value(k) else {
                    prop_assert!(value.is_nan(), "{kind:?} {k}: {value} is lost");
                    continue;
                };
                // Half a number; a float32 keeps 24 bits; and rounding of the few operations.
                let half = if kind == DataKind::Float32 { value.abs() * 2.0_f64.powi(-24) } else { 0.5 * factor };
                prop_assert!((back - value).abs() <= half * (1.0 + 1e-9) + 1e-11, "{kind:?} {k}: {back} for {value}");
            }
        }
    }

    /// 16, 24 and 32 bits and float, by a library's writer: off by half a step at most.
    #[test]
    fn law_sound_is_read_back(
        values in prop::collection::vec(-0.99..0.99_f64, 8..100), kind in 0_usize..4,
    ) {
        let (bits, sample_format) = [
            (16, hound::SampleFormat::Int), (24, hound::SampleFormat::Int),
            (32, hound::SampleFormat::Int), (32, hound::SampleFormat::Float),
        ][kind];
        let spec = hound::WavSpec { channels: 2, sample_rate: 2000, bits_per_sample: bits, sample_format };
        let mut bytes = Cursor::new(Vec::new());
        let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
        let full = 2.0_f64.powi(i32::from(bits) - 1);
        for value in &values {
            for value in [*value, -value] {
                if sample_format == hound::SampleFormat::Float {
                    writer.write_sample(value as f32).unwrap();
                } else {
                    writer.write_sample((value * full).round() as i32).unwrap();
                }
            }
        }
        writer.finalize().unwrap();
        let record = read(&bytes.into_inner()).value;
        prop_assert_eq!(record.layout.format(), Format::Wav);
        prop_assert_eq!(record.timing.as_ref().map(|timing| timing.sample_rate_hz), Some(2000.0));
        let options = ChannelOptions {
            column: ColumnChoice::Number(2),
            full_scale: Some(FullScale::CurrentA(20.0)),
            ..ChannelOptions::default()
        };
        let samples = record.current(&options).unwrap().value;
        // A float sample keeps 24 bits of a number below 1.
        let step = if sample_format == hound::SampleFormat::Float { 2.0_f64.powi(-24) } else { 1.0 / full };
        for (k, value) in values.iter().enumerate() {
            let back = samples.sample_a(k).unwrap();
            prop_assert!((back + 20.0 * value).abs() <= 20.0 * 0.5001 * step, "{back} for {value}");
        }
    }

    /// One and two dimensions, both orders, every type: the same numbers, bit for bit.
    #[test]
    fn law_arrays_are_read_back(
        values in prop::collection::vec(-3e4..3e4_f64, 12..60), kind in 0_usize..7, columns in 1_usize..4,
        fortran in any::<bool>(), across in any::<bool>(),
    ) {
        let number = ["<f8", ">f8", "<f4", ">f4", "<i2", ">i2", "<i4"][kind];
        let rows = values.len() / columns;
        let encode = |value: f64| -> Vec<u8> {
            match number {
                "<f8" => value.to_le_bytes().to_vec(),
                ">f8" => value.to_be_bytes().to_vec(),
                "<f4" => (value as f32).to_le_bytes().to_vec(),
                ">f4" => (value as f32).to_be_bytes().to_vec(),
                "<i2" => (value as i16).to_le_bytes().to_vec(),
                ">i2" => (value as i16).to_be_bytes().to_vec(),
                _ => (value as i32).to_le_bytes().to_vec(),
            }
        };
        let kept = |value: f64| match number {
            "<f8" | ">f8" => value,
            "<f4" | ">f4" => f64::from(value as f32),
            _ => value.trunc(),
        };
        // `across` holds a channel in each row.
        let (n, m) = if across { (columns, rows) } else { (rows, columns) };
        let at = |r: usize, c: usize| values[if across { c * columns + r } else { r * columns + c }];
        let mut bytes = b"\x93NUMPY\x01\x00".to_vec();
        let order = if fortran { "True" } else { "False" };
        let shape = if columns == 1 && !across { format!("({n},)") } else { format!("({n}, {m})") };
        let header = format!("{{'descr': '{number}', 'fortran_order': {order}, 'shape': {shape}, }}\n");
        bytes.extend((header.len() as u16).to_le_bytes());
        bytes.extend(header.bytes());
        if fortran {
            (0..m).for_each(|c| (0..n).for_each(|r| bytes.extend(encode(at(r, c)))));
        } else {
            (0..n).for_each(|r| (0..m).for_each(|c| bytes.extend(encode(at(r, c)))));
        }
        let options = ReadOptions { time_column: loopcrest::capture::TimeColumn::Absent, ..ReadOptions::default() };
        let record = read_bytes(&bytes, &options).unwrap().value;
        prop_assert_eq!((record.len(), record.channels.len()), (rows, columns));
        for (c, channel) in record.channels.iter().enumerate() {
            for r in 0..rows {
                prop_assert_eq!(channel.value(r), Some(kept(values[r * columns + c])), "{} {} {}", number, r, c);
            }
        }
    }
}

/// The same record with its rows through a place of unequal rates: each section by itself.
#[test]
fn law_sections_of_several_rates_are_taken_one_at_a_time() {
    let mut values = sine(100, 5.0);
    values.extend(sine(60, 7.0));
    for kind in DataKind::ALL {
        let mut file = file(kind, values.clone());
        file.sections = vec![(2000.0, 100), (4000.0, 60)];
        let bytes = file.single().unwrap();
        let noted = read(&bytes);
        assert!(told(&noted, "several-rates"), "{kind:?}: {:?}", noted.notes);
        assert_eq!(noted.value.len(), 100, "the longest section");
        let second = ReadOptions { section: Some(2), ..ReadOptions::default() };
        let record = read_bytes(&bytes, &second).unwrap().value;
        let timing = record.timing.clone().unwrap();
        assert_eq!((record.len(), timing.sample_rate_hz), (60, 4000.0));
        // 100 samples of 0.5 ms before it; time stamps are whole microseconds.
        assert!((timing.first_time_s.unwrap() - 0.05).abs() < 1e-9);
        let (factor, _) = file.channels[0].linear(kind);
        let off = (record.channels[0].value(10).unwrap() - 7.0).abs();
        assert!(off <= 0.5 * factor + 1e-6, "a quarter period in: the peak, within half a number");
        let third = ReadOptions { section: Some(3), ..ReadOptions::default() };
        let error = read_bytes(&bytes, &third).unwrap_err();
        assert!(
            error.hint().is_some_and(|hint| hint.contains("2: 60 samples, 4000 Hz")),
            "{error}"
        );
    }
}

/// Without a rate, the stamps times their multiplier give one.
#[test]
fn law_time_stamps_stand_for_a_missing_rate() {
    for kind in DataKind::ALL {
        let file = file(kind, sine(200, 5.0));
        let configuration = file.configuration().unwrap();
        let stamped = configuration.replace("\r\n1\r\n2000,200\r\n", "\r\n0\r\n0,200\r\n");
        assert_ne!(stamped, configuration);
        for (multiplier, rate_hz) in [("1", 2000.0), ("2", 1000.0)] {
            let word = kind.word();
            let text = stamped
                .replace(&format!("{word}\r\n1\r\n"), &format!("{word}\r\n{multiplier}\r\n"));
            let record =
                read_two_parts(text.as_bytes(), file.data().unwrap(), &ReadOptions::default());
            let timing = record.unwrap().value.timing.unwrap();
            assert_eq!((timing.sample_rate_hz, timing.source), (rate_hz, TimingSource::EvenStamps));
        }
    }
}

/// Rows that are missing in the numbering leave gaps, and nothing moves.
#[test]
fn law_skipped_sample_numbers_leave_gaps() {
    for kind in DataKind::ALL {
        let whole = file(kind, sine(50, 5.0));
        let data = whole.data().unwrap();
        let row = data.len() / 50;
        let cut = if kind == DataKind::Ascii {
            let text = String::from_utf8(data).unwrap();
            let kept = text.lines().enumerate().filter(|(at, _)| !(20..23).contains(at));
            kept.map(|(_, line)| format!("{line}\r\n")).collect::<String>().into_bytes()
        } else {
            [&data[..20 * row], &data[23 * row..]].concat()
        };
        let configuration = whole.configuration().unwrap();
        let noted = read_two_parts(configuration.as_bytes(), cut, &ReadOptions::default()).unwrap();
        assert!(told(&noted, "rows-placed-by-number") && told(&noted, "promise-not-kept"));
        let channel = &noted.value.channels[0];
        assert_eq!((channel.len(), channel.gaps()), (50, 3), "{kind:?}");
        assert!(channel.value(22).is_none());
        assert!((channel.value(23).unwrap() - whole.channels[0].values[23]).abs() < 1e-3);
    }
}

/// Rated 100 to 5: the primary is twenty times the secondary, and asking for what is written changes
/// nothing.
#[test]
fn law_sides_differ_by_the_rated_ratio() {
    let mut file = file(DataKind::Binary, sine(80, 5.0));
    file.channels[0].rated = (100.0, 5.0);
    file.channels[0].side = Side::Secondary;
    let bytes = file.single().unwrap();
    let on = |side| {
        let options = ReadOptions { side, ..ReadOptions::default() };
        let record = read_bytes(&bytes, &options).unwrap().value;
        let noted = record.current(&ChannelOptions::default()).unwrap();
        let warned = noted.notes.iter().any(|note| note.code == "secondary-side");
        (noted.value.sample_a(10).unwrap(), warned)
    };
    let (written_a, warned) = on(None);
    assert!(warned, "a secondary current is not the circuit's");
    assert_eq!(on(Some(Side::Secondary)), (written_a, true));
    let (primary_a, warned) = on(Some(Side::Primary));
    assert!((primary_a / written_a - 20.0).abs() < 1e-12, "rounding only: {primary_a}");
    assert!(!warned);
}

/// A configuration cut after any of its lines is refused with the line, or whole.
#[test]
fn law_a_configuration_cut_anywhere_is_told() {
    let mut file = file(DataKind::Ascii, sine(20, 5.0));
    file.status_channels = 2;
    let text = file.configuration().unwrap();
    let lines: Vec<&str> = text.split_inclusive("\r\n").collect();
    let kind_line = lines.iter().position(|line| line.starts_with("ASCII")).unwrap();
    for count in 0..=lines.len() {
        let part = lines[..count].concat();
        let result = read_two_parts(part.as_bytes(), file.data().unwrap(), &ReadOptions::default());
        if count > kind_line {
            assert!(result.is_ok(), "the kind of data is the last line that is needed");
            continue;
        }
        let error = result.unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::Malformed { .. }), "{error}");
        assert!(error.to_string().contains("incomplete") && error.place().is_some(), "{error}");
    }
}

/// What a configuration may not say, each named.
#[test]
fn law_wrong_fields_of_a_configuration_are_named() {
    let mut whole = file(DataKind::Binary, sine(20, 5.0));
    whole.channels.push(TransientChannel::new("U", "V", sine(20, 100.0)));
    let text = whole.configuration().unwrap();
    let read = |text: &str| {
        read_two_parts(text.as_bytes(), whole.data().unwrap(), &ReadOptions::default())
    };
    for (from, to, says) in [
        ("2,2A,0D", "2,xA,0D", "analog channels"),
        ("2,2A,0D", "0,0A,0D", "number of channels"),
        ("2,2A,0D", "9999,9999A,0D", "number of channels"),
        ("BINARY", "BINARY64", "kind of data"),
        ("2000,20", "2000,x", "last sample"),
        ("\r\n1\r\n2000", "\r\nmany\r\n2000", "sample rates"),
    ] {
        let error = read(&text.replacen(from, to, 1)).unwrap_err().to_string();
        assert!(error.contains(says), "{to}: {error}");
    }
    let (factor, _) = whole.channels[0].linear(DataKind::Binary);
    for wrong in ["abc", "", "0", "NaN"] {
        let noted = read(&text.replacen(&format!("{factor:e}"), wrong, 1)).unwrap();
        assert!(told(&noted, "channel-left-out"), "{wrong}");
        assert_eq!(noted.value.channels[0].number, 2, "the other keeps its number");
    }
}

#[test]
fn law_what_cannot_be_written_is_refused() {
    let refused = |file: TransientFile| file.data().unwrap_err().to_string();
    let good = file(DataKind::Float32, sine(20, 5.0));
    let of = |edit: fn(&mut TransientFile)| {
        let mut file = good.clone();
        edit(&mut file);
        refused(file)
    };
    assert!(of(|f| f.revision = Revision::Of1999).contains("FLOAT32"));
    assert!(of(|f| f.channels[0].name = "a,b".into()).contains("comma"));
    assert!(of(|f| f.channels[0].values[3] = 1e31).contains("value to be written"));
    assert!(of(|f| f.sections = vec![(2000.0, 19)]).contains("sections"));
    assert!(of(|f| f.sections = vec![(0.0, 20)]).contains("sample rate"));
    assert!(of(|f| f.channels.clear()).contains("number of samples"));
    let mut old = file(DataKind::Ascii, sine(20, 5.0));
    old.revision = Revision::Of1999;
    assert!(old.single().unwrap_err().to_string().contains("2013"));
}

/// Either half names the record, in small or capital letters; a missing half is named.
#[test]
fn law_both_halves_of_a_record_are_found() {
    let place = tempfile::tempdir().unwrap();
    let file = file(DataKind::Binary, sine(80, 5.0));
    for (cfg, dat) in [("a.cfg", "a.dat"), ("B.CFG", "B.DAT")] {
        std::fs::write(place.path().join(cfg), file.configuration().unwrap()).unwrap();
        std::fs::write(place.path().join(dat), file.data().unwrap()).unwrap();
        for name in [cfg, dat] {
            let record = read_file(place.path().join(name), &ReadOptions::default()).unwrap().value;
            assert_eq!(record.len(), 80, "{name}");
            assert!(matches!(&record.layout, FileLayout::Transient(layout) if !layout.single_file));
        }
    }
    std::fs::remove_file(place.path().join("a.dat")).unwrap();
    let error = read_file(place.path().join("a.cfg"), &ReadOptions::default()).unwrap_err();
    assert!(
        matches!(error.kind(), ErrorKind::Io { .. }) && error.to_string().contains("a.dat"),
        "{error}"
    );
    let half = read_bytes(file.configuration().unwrap().as_bytes(), &ReadOptions::default());
    assert!(half.unwrap_err().hint().is_some_and(|hint| hint.contains("both files")));
}

/// Files cut after any byte: what is there is used and told, or the file is refused.
#[test]
fn law_cut_files_are_told() {
    let files = DataKind::ALL.map(|kind| file(kind, sine(40, 5.0)).single().unwrap());
    for (kind, bytes) in DataKind::ALL.into_iter().zip(&files) {
        let start = bytes.windows(4).rposition(|four| four == b"---\r").unwrap();
        for end in (0..bytes.len() - 1).step_by(7) {
            match read_bytes(&bytes[..end], &ReadOptions::default()) {
                Err(error) => assert!(end < start + 60, "{kind:?} {end}: {error}"),
                Ok(noted) => {
                    let told = told(&noted, "promise-not-kept") || told(&noted, "last-row-open");
                    // Cut within the line end of the last row, nothing is lost.
                    let whole = noted.value.len() == 40 && bytes.len() - end == 1;
                    assert!(whole || told, "{kind:?} {end}: {:?}", noted.notes);
                }
            }
        }
    }
}

/// Pictures, documents and packed files are refused by name, whatever they are called.
#[test]
fn law_files_of_other_kinds_are_refused_by_name() {
    for (bytes, says) in [
        (b"\x89PNG\r\n\x1a\n----".as_slice(), "PNG"),
        (b"\xff\xd8\xff\xe0----", "JPEG"),
        (b"%PDF-1.7", "PDF"),
        (b"PK\x03\x04----", "packed"),
        (b"\x1f\x8b----", "packed"),
        (b"RF64----WAVE", "4 GB"),
        (b"RIFF\x04\0\0\0WAVE", "WAV"),
        (b"\x93NUMPY\x01\0", "NumPy"),
        (b"\x93NUMPY\x09\0\0\0\0\0", "version 9"),
    ] {
        let error = read_bytes(bytes, &ReadOptions::default()).unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::Malformed { .. }));
        assert!(error.to_string().contains(says), "{says}: {error}");
    }
}

/// Nobody knows the amperes of a sound file; a clamp alone makes full scale one volt, and says so.
#[test]
fn law_a_scale_that_is_not_given_is_told() {
    let mut bytes = Cursor::new(Vec::new());
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 2000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for value in sine(400, 16_384.0) {
        writer.write_sample(value as i16).unwrap();
    }
    writer.finalize().unwrap();
    let record = read(&bytes.into_inner()).value;
    let peak = |options: &ChannelOptions| {
        let noted = record.current(options).unwrap();
        (noted.value.sample_a(10).unwrap(), noted.notes.iter().any(|n| n.code == "unit-assumed"))
    };
    let clamp = ChannelOptions { clamp_v_per_a: Some(0.1), ..ChannelOptions::default() };
    let volts = ChannelOptions { full_scale: Some(FullScale::VoltageV(2.0)), ..clamp.clone() };
    assert_eq!(peak(&ChannelOptions::default()), (0.5, true));
    assert_eq!(peak(&clamp), (5.0, true));
    assert_eq!(peak(&volts), (10.0, false));
    let text = read(b"t;I\n0;1\n1;2\n").value;
    let error = text.current(&ChannelOptions {
        full_scale: Some(FullScale::CurrentA(20.0)),
        ..ChannelOptions::default()
    });
    assert!(error.unwrap_err().to_string().contains("full scale"));
}
