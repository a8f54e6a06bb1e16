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
