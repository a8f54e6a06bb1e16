//! Streams: the same samples as a file read at once, and memory that does not grow with the file.

use std::f64::consts::{SQRT_2, TAU};
use std::fmt::Write as _;
use std::path::Path;

use loopcrest::capture::{
    ChannelOptions, PeriodOptions, ReadOptions, RecordSummary, SampleStream, Samples, read_file,
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
