//! Laws of delimited text: every shape scopes and loggers write, and texts longer than one block.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use loopcrest::capture::{ColumnChoice, Encoding, ReadOptions, Record, read_bytes};
use loopcrest::error::Noted;

fn read(bytes: &[u8]) -> Noted<Record> {
    read_bytes(bytes, &ReadOptions::default()).unwrap()
}

/// Eight rows of a time in steps of 0.5 ms and a current that is 0.25 times the row.
fn rows(row: impl Fn(f64, f64) -> String) -> String {
    (0..8).map(|k| row(f64::from(k) * 0.5, f64::from(k) * 0.25)).collect()
}

fn comma(value: f64) -> String {
    format!("{value:.3}").replace('.', ",")
}

/// Each shape gives the same current at the same 2000 samples per second.
#[test]
fn law_every_shape_of_text_is_read_alike() {
    let utf16 = |text: &str, big: bool| -> Vec<u8> {
        let mut bytes = if big { vec![0xFE, 0xFF] } else { vec![0xFF, 0xFE] };
        for unit in text.encode_utf16() {
            bytes.extend(if big { unit.to_be_bytes() } else { unit.to_le_bytes() });
        }
        bytes
    };
    let latin1 = |text: &str| -> Vec<u8> { text.chars().map(|c| c as u32 as u8).collect() };
    let plain = format!("t (ms),I (A)\n{}", rows(|t, i| format!("{t},{i}\n")));
    let shapes: Vec<(&str, Vec<u8>)> = vec![
        ("comma", plain.clone().into_bytes()),
        ("carriage returns", plain.replace('\n', "\r\n").into_bytes()),
        ("old line ends", plain.replace('\n', "\r").into_bytes()),
        ("no last line end", plain.trim_end().as_bytes().to_vec()),
        ("end-of-file mark", format!("{plain}\u{1a}").into_bytes()),
        ("byte-order mark", [b"\xEF\xBB\xBF", plain.as_bytes()].concat()),
        ("UTF-16, low byte first", utf16(&plain, false)),
        ("UTF-16, high byte first", utf16(&plain, true)),
        ("tab", plain.replace(',', "\t").into_bytes()),
        (
            "blanks",
            format!("t I\n{}", rows(|t, i| format!("  {:e}   {i:+.4}\n", t * 1e-3))).into_bytes(),
        ),
        (
            "Latin-1 unit, semicolon, decimal comma, unit row",
            latin1(&format!(
                "Zeit;Strom\n(µs);(A)\n\n{}",
                rows(|t, i| format!("{};{}\n", comma(1000.0 * t), comma(i)))
            )),
        ),
        (
            "quoted cells with decimal commas between commas",
            format!(
                "\"Zeit (ms)\",\"Strom, Kanal 1 (A)\"\n{}",
                rows(|t, i| format!("\"{}\",\"{}\"\n", comma(t), comma(i)))
            )
            .into_bytes(),
        ),
        (
            "quoted numbers",
            format!("\"t (ms)\";\"I (A)\"\r\n{}", rows(|t, i| format!("\"{t}\";\"{i}\"\r\n")))
                .into_bytes(),
        ),
        (
            "interval in the header, no time",
            format!(
                "Model,X 1\nSample Interval,5.0E-04\nVertical Units,A\n{}",
                rows(|_, i| format!("{i}\n"))
            )
            .into_bytes(),
        ),
        (
            "rate in the header with its unit",
            format!("# Sample rate: 2 kHz\n# I (A)\n{}", rows(|_, i| format!("{i:.5E}\n")))
                .into_bytes(),
        ),
        (
            "date and time",
            format!(
                "when,I (A)\n{}",
                rows(|t, i| format!("2024-03-12 18:15:21.{:06.0},{i}\n", 500_000.0 + 1000.0 * t))
            )
            .into_bytes(),
        ),
    ];
    for (name, bytes) in shapes {
        let noted = read(&bytes);
        let channel = noted.value.channel(&ColumnChoice::Auto).unwrap();
        let values: Vec<Option<f64>> =
            (0..channel.len()).map(|k| channel.value(k)).flat_map(|v| v.map(Some)).collect();
        let expected: Vec<Option<f64>> = (0..8).map(|k| Some(f64::from(k) * 0.25)).collect();
        assert_eq!(values, expected, "{name}: {:?}", noted.value.layout);
        let timing = noted.value.timing.clone().unwrap_or_else(|| panic!("{name}: no rate"));
        assert!(
            (timing.sample_rate_hz - 2000.0).abs() < 1e-6,
            "{name}: digits are exact: {timing:?}"
        );
    }
    let encoding = |bytes: &[u8]| read(bytes).value.layout.text().map(|layout| layout.encoding);
    assert_eq!(encoding(&latin1(&plain.replace("I (A)", "I (A) µ"))), Some(Encoding::Latin1));
    assert_eq!(encoding(&utf16(&plain, true)), Some(Encoding::Utf16Be));
}

/// A text of several blocks, read on several threads: rows keep their numbers and places, a bad row is a
/// gap where it stands, and a stray quote is found with its line.
#[test]
fn law_long_texts_are_read_as_one() {
    const ROWS: usize = 200_000;
    let line = |k: usize| match k {
        70_000 => "OL row;;\n".to_owned(),
        120_000 => format!("{:.4};OL\n", 1e-4 * k as f64),
        k => format!("{:.4};{}\n", 1e-4 * k as f64, k % 1000),
    };
    let text: String =
        std::iter::once("t (s);I (A)\n".to_owned()).chain((0..ROWS).map(line)).collect();
    assert!(text.len() > 2 << 20, "longer than two blocks");
    let noted = read(text.as_bytes());
    let record = noted.value;
    let channel = &record.channels[0];
    assert_eq!((record.len(), channel.gaps()), (ROWS, 2));
    for k in (0..ROWS).filter(|k| !matches!(k, 70_000 | 120_000)) {
        assert_eq!(channel.value(k), Some((k % 1000) as f64), "{k}");
    }
    let places: Vec<_> =
        record.problems.iter().map(|problem| (problem.row, problem.line)).collect();
    assert_eq!(places, [(70_001, 70_002), (120_001, 120_002)]);
    assert_eq!(record.timing.map(|timing| timing.sample_rate_hz), Some(10_000.0));
    let stray = text.replacen("10.0000;0\n", "10.0000;\"0\n", 1);
    let error = read_bytes(stray.as_bytes(), &ReadOptions::default()).unwrap_err();
    assert_eq!(error.place().map(|place| place.line), Some(100_002), "{error}");
}

/// Times of day that pass midnight in a later block than the one they began in.
#[test]
fn law_midnight_is_passed_in_any_block() {
    const ROWS: usize = 120_000;
    let mut text = String::from("time,I (A)\n");
    for k in 0..ROWS {
        // From 23:59:00 in steps of a millisecond.
        let ms = (86_340_000 + k) % 86_400_000;
        let (s, ms) = (ms / 1000, ms % 1000);
        text += &format!("{:02}:{:02}:{:02}.{ms:03},{}\n", s / 3600, s / 60 % 60, s % 60, k % 50);
    }
    assert!(text.len() > 1 << 20, "longer than one block");
    let record = read(text.as_bytes()).value;
    assert_eq!(record.len(), ROWS, "no jump back at midnight");
    assert_eq!(record.channels[0].gaps(), 0);
    assert_eq!(record.timing.map(|timing| timing.sample_rate_hz), Some(1000.0));
}

/// A word like a time of day in a column of numbers is a bad cell and no reason to lose the column.
#[test]
fn law_one_moment_makes_no_time_column() {
    let mut text = String::from("t (s),I (A)\n");
    for k in 0..40 {
        let cell = if k == 20 { "12:30".to_owned() } else { k.to_string() };
        text += &format!("0.{k:03},{cell}\n");
    }
    let record = read(text.as_bytes()).value;
    assert_eq!(record.channels[0].gaps(), 1);
    assert_eq!(record.channels[0].value(21), Some(21.0));
    assert!(record.problems[0].to_string().contains("12:30"), "{}", record.problems[0]);
}

/// A missing first cell stays missing, whatever separates the cells.
#[test]
fn law_an_empty_first_cell_moves_no_other() {
    for separator in ["\t", ",", ";"] {
        let mut text = format!("U (V){separator}I (A)\n");
        for k in 0..40 {
            let first = if k == 20 { String::new() } else { format!(" {} ", 7 * k % 13) };
            text += &format!("{first}{separator} {}\n", 100 + k);
        }
        let record = read(text.as_bytes()).value;
        assert_eq!(record.channels[0].value(20), None, "{separator:?}");
        assert_eq!(record.channels[1].value(20), Some(120.0), "{separator:?}");
        assert_eq!((record.channels[0].gaps(), record.channels[1].gaps()), (1, 0));
    }
}
