//! Streams: the same samples as a file read at once, and memory that does not grow with the file.

use std::f64::consts::{SQRT_2, TAU};
use std::fmt::Write as _;
use std::path::Path;

use loopcrest::capture::{
    ChannelOptions, DataKind, Limits, PeriodOptions, ReadOptions, RecordSummary, Revision,
    SampleStream, Samples, TransientChannel, TransientFile, read_file,
};

use super::capture_events::noise;

/// More than the 16 MiB up to which a file is read as a whole.
const ROWS: usize = 900_000;

fn sample_a(k: usize) -> f64 {
    6.6 * SQRT_2 * (TAU * 50.0 * k as f64 / 4000.0).sin() + 0.01 * noise(k)
}

/// Time in milliseconds and current with decimal commas, rows left out, an overload, a remark, a
/// quoted cell and a footer.
fn write_record(file: &Path, rows: usize) {
    let mut text = String::from("Logger;7\nSamples;unknown\n\nt (ms);I (mA)\n");
    for k in 0..rows {
        if (30_000..30_005).contains(&k) {
            continue;
        }
        let time = format!("{:.2}", 0.25 * k as f64).replace('.', ",");
        let current = match k {
            40_000 => "OL".to_owned(),
            50_000 => format!("\"{:.4}\"", 1e3 * sample_a(k)),
            _ => format!("{:.4}", 1e3 * sample_a(k)),
        };
        let _ = writeln!(text, "{time};{}", current.replace('.', ","));
        if k == 60_000 {
            text += "# range changed\n";
        }
    }
    text += "end of record\n";
    std::fs::write(file, text).unwrap();
}

fn streamed(file: &Path) -> (Vec<f64>, SampleStream) {
    let (reading, channel) = (ReadOptions::default(), ChannelOptions::default());
    let mut stream = SampleStream::open(file, &reading, &channel).unwrap().value;
    let mut all_a = Vec::new();
    while stream.next_block(&mut all_a).unwrap() {}
    (all_a, stream)
}

fn at_once(file: &Path) -> Samples {
    let record = read_file(file, &ReadOptions::default()).unwrap().value;
    record.current(&ChannelOptions::default()).unwrap().value
}

/// Row by row or at once: the same samples at the same places.
#[test]
fn law_a_stream_holds_the_samples_of_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.csv");
    write_record(&file, ROWS);
    assert!(std::fs::metadata(&file).unwrap().len() > 16 << 20, "large enough to be streamed");
    let (streamed_a, stream) = streamed(&file);
    let whole = at_once(&file);
    assert_eq!(streamed_a.len(), ROWS, "rows that were left out keep their place");
    assert_eq!(whole.len(), ROWS);
    assert_eq!(stream.sample_rate_hz(), whole.sample_rate_hz());
    for (k, i_a) in streamed_a.iter().enumerate() {
        assert_eq!(whole.sample_a(k), Some(*i_a).filter(|a| !a.is_nan()), "sample {k}");
    }
    assert_eq!(streamed_a.iter().filter(|a| a.is_nan()).count(), 6, "five left out, one overload");
    assert!(stream.notes().iter().any(|note| note.code == "gaps"), "{:?}", stream.notes());
    assert_eq!(stream.done_bytes(), stream.size_bytes());
}

/// The summary of a stream does not depend on how many threads measure it.
#[test]
fn law_a_summary_is_the_same_on_any_number_of_threads() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.csv");
    write_record(&file, 120_000);
    let summary = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let (reading, channel) = (ReadOptions::default(), ChannelOptions::default());
            let mut stream = SampleStream::open(&file, &reading, &channel).unwrap().value;
            let options = PeriodOptions::default();
            RecordSummary::of(&mut stream, &options, &mut (), &mut |_| ()).unwrap().value
        })
    };
    let (one, three) = (summary(1), summary(3));
    assert_eq!(one.steady, three.steady);
    assert_eq!(one.events, three.events);
    assert_eq!(one.rms_envelope, three.rms_envelope);
    assert!(one.periods > 1450, "30 s of 50 Hz less what the gaps cost: {}", one.periods);
}

/// Peak resident memory of the program on a file, in bytes, as the system counts it.
#[cfg(target_os = "linux")]
fn peak_bytes(file: &Path) -> u64 {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
        .arg("record")
        .arg(file)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most_kib = 0;
    while child.try_wait().unwrap().is_none() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
        most_kib = most_kib.max(kib.unwrap_or(0));
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    assert!(child.wait().unwrap().success());
    most_kib << 10
}

#[cfg(target_os = "linux")]
#[test]
fn law_memory_does_not_grow_with_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let (short, long) = (folder.path().join("short.csv"), folder.path().join("long.csv"));
    write_record(&short, ROWS);
    write_record(&long, 3 * ROWS);
    let (less, more) = (peak_bytes(&short), peak_bytes(&long));
    assert!(more > 4 << 20, "the measurement itself works: {more}");
    assert!(more < 200 << 20, "the bound that is promised: {more}");
    // Allocators keep pages; a tenth of the 36 MB by which the file grew would be a leak.
    assert!(more.saturating_sub(less) < 24 << 20, "{less} and {more}");
}

/// Rows of a binary record and of a sound file, more than the 16 MiB up to which both are held whole.
const BINARY_ROWS: usize = 1_800_000;

/// Sample number k of what an instrument of 16 bits wrote.
fn whole_number(k: usize) -> i16 {
    (sample_a(k) * 3000.0) as i16
}

/// A large binary record whose numbering leaves out rows, across a chunk and within one, with a value
/// marked as missing, half a row at its end and a promise it does not keep.
#[test]
fn law_a_binary_record_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.cfg");
    let configuration = format!(
        "here,recorder,1999\r\n1,1A,0D\r\n1,I,,,A,3.333e-4,0.001,0,-32767,32767,1,1,P\r\n50\r\n1\r\n\
         4000,{}\r\n01/01/2020,00:00:00.000000\r\n01/01/2020,00:00:00.000000\r\nBINARY\r\n1\r\n",
        BINARY_ROWS + 7
    );
    std::fs::write(&file, configuration).unwrap();
    // A chunk holds 1 MiB of rows of ten bytes.
    let chunk = (1 << 20) / 10;
    let mut data = Vec::new();
    for k in 0..BINARY_ROWS {
        let skipped = if k < chunk {
            0
        } else if k < 500_000 {
            3
        } else {
            5
        };
        data.extend(((k + 1 + skipped) as u32).to_le_bytes());
        data.extend(((k + skipped) as u32 * 250).to_le_bytes());
        data.extend(if k == 70_000 { i16::MIN } else { whole_number(k) }.to_le_bytes());
    }
    data.extend([1, 2, 3]);
    std::fs::write(file.with_extension("dat"), &data).unwrap();
    for named in [file.clone(), file.with_extension("dat")] {
        let (streamed_a, stream) = streamed(&named);
        let whole = at_once(&named);
        assert_eq!(streamed_a.len(), BINARY_ROWS + 5, "rows left out keep their place");
        assert_eq!(whole.len(), streamed_a.len());
        assert_eq!(stream.sample_rate_hz(), whole.sample_rate_hz());
        for (k, i_a) in streamed_a.iter().enumerate() {
            assert_eq!(whole.sample_a(k), Some(*i_a).filter(|a| !a.is_nan()), "sample {k}");
        }
        assert_eq!(streamed_a.iter().filter(|a| a.is_nan()).count(), 6);
        let codes: Vec<_> = stream.notes().iter().map(|note| note.code).collect();
        assert_eq!(codes, ["data-cut", "gaps", "promise-not-kept"], "{:?}", stream.notes());
        assert_eq!(stream.size_bytes(), data.len() as u64, "the file of the samples");
    }
    #[cfg(target_os = "linux")]
    assert!(peak_bytes(&file) < 200 << 20, "the bound that is promised");
}

/// A large sound file that goes on with something else after its samples.
#[test]
fn law_a_sound_file_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.wav");
    let count = 5 * BINARY_ROWS;
    let data_bytes = 2 * count as u32;
    let mut bytes = b"RIFF".to_vec();
    bytes.extend((36 + data_bytes + 12).to_le_bytes());
    bytes.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    bytes.extend(4000_u32.to_le_bytes());
    bytes.extend(8000_u32.to_le_bytes());
    bytes.extend(b"\x02\0\x10\0data");
    bytes.extend(data_bytes.to_le_bytes());
    for k in 0..count {
        bytes.extend(whole_number(k % 80).to_le_bytes());
    }
    bytes.extend(b"LIST\x04\0\0\0INFO");
    std::fs::write(&file, &bytes).unwrap();
    let (streamed_a, stream) = streamed(&file);
    let whole = at_once(&file);
    assert_eq!(streamed_a.len(), count, "what follows is no sample");
    assert_eq!(whole.len(), count);
    let differ = (0..count).find(|k| whole.sample_a(*k) != Some(streamed_a[*k]));
    assert_eq!(differ, None);
    assert_eq!(stream.notes(), [], "nothing is wrong with it");
    assert_eq!(stream.done_bytes() + 12, stream.size_bytes());
    // Held whole, its samples alone would take 144 MB over and above the program.
    #[cfg(target_os = "linux")]
    assert!(peak_bytes(&file) < 80 << 20, "read a piece at a time");
}

/// Streams even a small file, in pieces so small that everything falls across their edges somewhere.
fn in_small_pieces(piece_bytes: usize) -> ReadOptions {
    let limits = Limits { max_whole_bytes: 0, piece_bytes, ..Limits::DEFAULT };
    ReadOptions { limits, ..ReadOptions::default() }
}

/// The same samples in pieces of several sizes as at once; the codes of what the stream noticed.
fn assert_streamed_alike(file: &Path, reading: &ReadOptions) -> Vec<&'static str> {
    let channel = ChannelOptions::default();
    let record = read_file(file, reading).unwrap().value;
    let whole = record.current(&channel).unwrap().value;
    let mut codes = Vec::new();
    for piece_bytes in [1 << 20, 4001, 333] {
        let limits = in_small_pieces(piece_bytes).limits;
        let reading = ReadOptions { limits, ..reading.clone() };
        let opened = SampleStream::open(file, &reading, &channel).unwrap();
        let mut stream = opened.value;
        let (mut all_a, mut blocks) = (Vec::new(), 0);
        while stream.next_block(&mut all_a).unwrap() {
            blocks += 1;
        }
        let name = file.display();
        assert!(blocks > 2 || piece_bytes > 4001, "{name}: {blocks} pieces of {piece_bytes}");
        assert_eq!(all_a.len(), whole.len(), "{name}, pieces of {piece_bytes}");
        assert_eq!(stream.sample_rate_hz(), whole.sample_rate_hz(), "{name}");
        let differ = (0..all_a.len())
            .find(|k| whole.sample_a(*k) != Some(all_a[*k]).filter(|i_a| !i_a.is_nan()));
        assert_eq!(differ, None, "{name}, pieces of {piece_bytes}");
        assert!(stream.done_bytes() <= stream.size_bytes(), "{name}");
        codes = opened.notes.iter().chain(&stream.notes()).map(|note| note.code).collect();
    }
    codes
}

#[test]
fn law_text_of_every_encoding_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.csv");
    write_record(&file, 70_000);
    let text = std::fs::read_to_string(&file).unwrap();
    let text = text.replace("Logger;7", "Logger °µ;7");
    let wide = |join: fn(u16) -> [u8; 2]| {
        [0xFEFF].into_iter().chain(text.encode_utf16()).flat_map(join).collect::<Vec<u8>>()
    };
    let latin1: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    let last = latin1.iter().rposition(|byte| *byte == b'e').unwrap();
    let mut late = text.replace("°µ", "").into_bytes();
    // Nothing but the footer shows that it is no UTF-8.
    let from_end = latin1.len() - last;
    let at = late.len() - from_end;
    late[at] = 0xB5;
    for (name, bytes) in [
        ("utf-8", text.clone().into_bytes()),
        ("utf-16, low byte first", wide(u16::to_le_bytes)),
        ("utf-16, high byte first", wide(u16::to_be_bytes)),
        ("latin-1", latin1),
        ("latin-1 at its end", late),
        ("carriage returns", text.replace('\n', "\r").into_bytes()),
        ("both", text.replace('\n', "\r\n").into_bytes()),
    ] {
        let file = folder.path().join(name);
        std::fs::write(&file, bytes).unwrap();
        let codes = assert_streamed_alike(&file, &ReadOptions::default());
        assert!(codes.contains(&"gaps"), "{name}: {codes:?}");
    }
}

fn transient(kind: DataKind) -> TransientFile {
    let current = TransientChannel::new("I", "A", (0..5000).map(sample_a).collect());
    let mut file = TransientFile::new(Revision::Of2013, kind, 4000.0, vec![current]);
    file.status_channels = 3;
    file
}

#[test]
fn law_records_of_every_kind_are_streamed_as_they_are_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    for kind in DataKind::ALL {
        let record = transient(kind);
        let single = folder.path().join(format!("{kind:?}.cff"));
        let mut bytes = record.single().unwrap();
        bytes.extend(b"--- file type: INF ---\r\n1,2,3,4,5\r\n");
        std::fs::write(&single, bytes).unwrap();
        assert_eq!(assert_streamed_alike(&single, &ReadOptions::default()), [""; 0], "{kind:?}");
        let file = folder.path().join(format!("{kind:?}.cfg"));
        std::fs::write(&file, record.configuration().unwrap()).unwrap();
        std::fs::write(file.with_extension("dat"), record.data().unwrap()).unwrap();
        assert_eq!(assert_streamed_alike(&file, &ReadOptions::default()), [""; 0], "{kind:?}");
    }
}

fn configuration(rates: &str, kind: &str) -> String {
    format!(
        "here,recorder,1999\r\n1,1A,0D\r\n1,I,,,A,0.01,0,0,-32767,32767,1,1,P\r\n50\r\n{rates}\r\n\
         01/01/2020,00:00:00.000000\r\n01/01/2020,00:00:00.000000\r\n{kind}\r\n1\r\n"
    )
}

/// Rows left out, values marked as missing, an empty line and a row that breaks off.
#[test]
fn law_a_record_as_text_with_damage_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("text.cfg");
    let mut data = String::new();
    for k in (0..6000).filter(|k| k % 1000 != 999 && !(2000..2100).contains(k)) {
        let value = if k % 777 == 5 { 99_999.0 } else { (100.0 * sample_a(k)).round() };
        let _ = write!(data, "{},{},{value}\r\n", k + 1, 250 * k);
        if k == 3000 {
            data += "\r\n";
        }
    }
    for (end, promised, want) in [
        ("6001,1500000,12\r\n", 5895, vec!["gaps"]),
        ("6001,1500000,12\r\n", 6001, vec!["gaps", "promise-not-kept"]),
        ("6001,1500000,12", 5895, vec!["last-row-open", "gaps"]),
        ("6001,15000", 6001, vec!["data-cut", "gaps", "promise-not-kept"]),
    ] {
        let rates = format!("1\r\n4000,{promised}");
        std::fs::write(&file, configuration(&rates, "ASCII")).unwrap();
        std::fs::write(file.with_extension("dat"), format!("{data}{end}\x1a")).unwrap();
        let codes = assert_streamed_alike(&file, &ReadOptions::default());
        assert_eq!(codes, want, "{end}");
    }
}

/// Either section of a record of two sample rates, and the longer one unasked.
#[test]
fn law_a_section_of_one_rate_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("rates.cfg");
    let rates = "2\r\n4000,3000\r\n8000,8000";
    std::fs::write(&file, configuration(rates, "BINARY")).unwrap();
    let mut data = Vec::new();
    for k in 0..7000_u32 {
        data.extend((k + 1).to_le_bytes());
        let stamp_us = if k < 3000 { 250 * k } else { 750_000 + 125 * (k - 3000) };
        data.extend(stamp_us.to_le_bytes());
        data.extend((whole_number(k as usize) / 10).to_le_bytes());
    }
    std::fs::write(file.with_extension("dat"), data).unwrap();
    for (section, rate_hz) in [(None, 8000.0), (Some(1), 4000.0), (Some(2), 8000.0)] {
        let reading = ReadOptions { section, ..ReadOptions::default() };
        let codes = assert_streamed_alike(&file, &reading);
        assert_eq!(codes, ["several-rates", "promise-not-kept"]);
        let reading = ReadOptions { section, ..in_small_pieces(500) };
        let stream = SampleStream::open(&file, &reading, &ChannelOptions::default()).unwrap();
        assert_eq!(stream.value.sample_rate_hz(), rate_hz);
    }
    let reading = ReadOptions { section: Some(3), ..in_small_pieces(500) };
    let error = SampleStream::open(&file, &reading, &ChannelOptions::default()).unwrap_err();
    assert!(error.to_string().contains("no section 3"), "{error}");
}

/// Arrays of one and of two channels, cut, with more behind them, and with a time axis.
#[test]
fn law_an_array_is_streamed_as_it_is_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let array = |name: &str, number: &str, shape: &str, numbers: Vec<u8>| {
        let header =
            format!("{{'descr': '{number}', 'fortran_order': False, 'shape': ({shape}), }}\n");
        let mut bytes = b"\x93NUMPY\x01\x00".to_vec();
        bytes.extend((header.len() as u16).to_le_bytes());
        bytes.extend(header.bytes());
        bytes.extend(numbers);
        let file = folder.path().join(name);
        std::fs::write(&file, bytes).unwrap();
        file
    };
    let reading = ReadOptions { sample_rate_hz: Some(4000.0), ..ReadOptions::default() };
    let one: Vec<u8> = (0..5000).flat_map(|k| (sample_a(k) as f32).to_be_bytes()).collect();
    let file = array("one.npy", ">f4", "5000,", one.clone());
    assert_eq!(assert_streamed_alike(&file, &reading), ["unit-assumed"]);
    let file = array("cut.npy", ">f4", "6000,", one[..one.len() - 3].to_vec());
    assert_eq!(assert_streamed_alike(&file, &reading), ["unit-assumed", "promise-not-kept"]);
    let file = array("more.npy", ">f4", "4000,", one);
    assert_eq!(assert_streamed_alike(&file, &reading), ["unit-assumed"]);
    let channel = ChannelOptions { column: "2".parse().unwrap(), ..ChannelOptions::default() };
    let two: Vec<u8> =
        (0..5000).flat_map(|k| [-sample_a(k), sample_a(k)]).flat_map(f64::to_le_bytes).collect();
    let file = array("two.npy", "<f8", "5000, 2", two);
    let small = ReadOptions { sample_rate_hz: Some(4000.0), ..in_small_pieces(1000) };
    let mut stream = SampleStream::open(&file, &small, &channel).unwrap().value;
    let mut all_a = Vec::new();
    while stream.next_block(&mut all_a).unwrap() {}
    assert!((0..5000).all(|k| all_a[k] == sample_a(k)), "the second channel");
    // With a time axis it is read as a whole, and says so by its rate.
    let timed: Vec<u8> = (0..5000)
        .flat_map(|k| [k as f64 / 4000.0, sample_a(k)])
        .flat_map(f64::to_le_bytes)
        .collect();
    let file = array("timed.npy", "<f8", "5000, 2", timed);
    let small = in_small_pieces(1000);
    let stream = SampleStream::open(&file, &small, &ChannelOptions::default()).unwrap().value;
    assert_eq!(stream.sample_rate_hz(), 4000.0);
}
