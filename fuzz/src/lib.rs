//! What every reader must stand: any bytes give a record whose numbers are finite, or an error.
//!
//! `cargo fuzz run -s none NAME` runs a target for as long as wanted on a stable toolchain; the tests
//! of the project run the same functions on a bounded number of mutated files.

use std::path::Path;

use loopcrest::capture::{
    ChannelOptions, ColumnChoice, CutOptions, Format, Limits, ReadOptions, Record, SampleStream,
    Side, read_bytes, read_file, read_two_parts,
};
use loopcrest::description::Description;
use loopcrest::error::{Noted, Result};

/// Records longer than this are not cut into periods, so that one input stays quick.
const MOST_CUT: usize = 20_000;

fn options() -> ReadOptions {
    let limits = Limits { max_missing_rows: 10_000, ..Limits::DEFAULT };
    ReadOptions { limits, ..ReadOptions::default() }
}

/// Reads, takes every channel as the current and cuts periods; nothing may panic, nothing that is not
/// finite may come out.
fn exercise(read: Result<Noted<Record>>) {
    let record = match read {
        Ok(noted) => noted.value,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            return;
        }
    };
    assert!(!record.channels.is_empty(), "a record without channels is an error");
    for channel in &record.channels {
        assert_eq!(channel.len(), record.len(), "channels are equally long");
        let given = (0..channel.len().min(64)).filter_map(|k| channel.value(k));
        assert!(given.into_iter().all(f64::is_finite));
        assert!(channel.gaps() <= channel.len());
    }
    for channel in record.channels.iter().take(3) {
        let column = ColumnChoice::Number(channel.number);
        let options =
            ChannelOptions { column, unit: Some("A".into()), ..ChannelOptions::default() };
        let Ok(samples) = record.current(&options) else { continue };
        assert!(samples.value.sample_rate_hz() > 0.0);
        if samples.value.len() > MOST_CUT {
            continue;
        }
        if let Ok(cut) = samples.value.cut(&CutOptions::default()) {
            assert!(cut.value.cycles > 0 && cut.value.frequency_hz.is_finite());
            assert!(cut.value.waveform.measures().dc.rms_a.is_finite());
        }
    }
}

/// Delimited text, or whatever else the bytes look like.
pub fn delimited(data: &[u8]) {
    exercise(read_bytes(data, &options()));
    let rate = ReadOptions { sample_rate_hz: Some(2000.0), ..options() };
    exercise(read_bytes(data, &rate));
}

/// Any configuration over data that hold a few rows of each kind.
pub fn comtrade_cfg(data: &[u8]) {
    let text = b"1,0,10,20,0\r\n2,500,99999,-20,0\r\n3,1000,5,,1\r\n".to_vec();
    let binary: Vec<u8> = (0..480_u32).map(|k| (k.wrapping_mul(167) >> 3) as u8).collect();
    for rows in [text, binary] {
        exercise(read_two_parts(data, rows.clone(), &options()));
        let other = ReadOptions { side: Some(Side::Primary), section: Some(2), ..options() };
        exercise(read_two_parts(data, rows, &other));
    }
}

/// Any data under configurations of every kind; the first byte chooses.
pub fn comtrade_dat(data: &[u8]) {
    let (choice, rows) = data.split_first().map_or((0, data), |(first, rest)| (*first, rest));
    let kind = ["ASCII", "BINARY", "BINARY32", "FLOAT32"][usize::from(choice) % 4];
    let rates =
        ["1\r\n2000,200", "0\r\n0,200", "2\r\n2000,100\r\n4000,200"][usize::from(choice) / 4 % 3];
    let configuration = format!(
        "S,D,2013\r\n3,2A,1D\r\n1,I,,,A,0.01,0.5,0,-32767,32767,10,1,S\r\n\
         2,U,,,V,1e300,0,0,-32767,32767,1,1,P\r\n1,X,,,0\r\n50\r\n{rates}\r\n\
         01/01/2000,00:00:00.000000\r\n01/01/2000,00:00:00.000000\r\n{kind}\r\n1\r\n"
    );
    exercise(read_two_parts(configuration.as_bytes(), rows.to_vec(), &options()));
}

/// A single file of sections.
pub fn cff(data: &[u8]) {
    let mut bytes = b"--- file type: CFG ---\n".to_vec();
    bytes.extend(data);
    exercise(read_bytes(&bytes, &options()));
    exercise(read_bytes(data, &options()));
}

/// A sound file behind its first four bytes.
pub fn wav(data: &[u8]) {
    let mut bytes = b"RIFF".to_vec();
    bytes.extend(data.get(4..).unwrap_or(data));
    exercise(read_bytes(&bytes, &options()));
}

/// A NumPy array behind its first six bytes.
pub fn npy(data: &[u8]) {
    let mut bytes = b"\x93NUMPY".to_vec();
    bytes.extend(data.get(6..).unwrap_or(data));
    exercise(read_bytes(&bytes, &options()));
}

/// A description; captures it names are looked for in a folder that is not there.
pub fn description(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    if let Ok(description) = Description::parse(&text, Path::new("/no/such/folder")) {
        assert!(description.rated().a() > 0.0);
    }
}

/// Any file as a stream: its first byte chooses how small the pieces are and what the rest is put behind.
///
/// Where rows are of equal length the samples are those of the file read at once.
pub fn stream(data: &[u8]) {
    let (choice, rest) = data.split_first().map_or((0, data), |(first, rest)| (*first, rest));
    let piece_bytes = [16, 100, 1000, 1 << 20][usize::from(choice) % 4];
    let kind = ["ASCII", "BINARY"][usize::from(choice) / 64 % 2];
    let configuration = format!(
        "S,D,2013\r\n2,1A,1D\r\n1,I,,,A,0.01,0.5,0,-32767,32767,10,1,S\r\n1,X,,,0\r\n50\r\n1\r\n\
         2000,50\r\n01/01/2000,00:00:00.000000\r\n01/01/2000,00:00:00.000000\r\n{kind}\r\n1\r\n"
    );
    let single = format!("--- file type: CFG ---\r\n{configuration}--- file type: DAT {kind}");
    let folder = std::env::temp_dir().join(format!("loopcrest-fuzz-{}", std::process::id()));
    let _ = std::fs::create_dir_all(&folder);
    let file = folder.join("record.dat");
    let beside = folder.join("record.cfg");
    let before: &[u8] = match choice / 4 % 5 {
        0 => b"",
        1 => b"RIFF",
        2 => b"\x93NUMPY",
        3 => single.as_bytes(),
        _ => {
            std::fs::write(&beside, &configuration).expect("a folder for files that are passed on");
            b""
        }
    };
    std::fs::write(&file, [before, rest].concat()).expect("a folder for files that are passed on");
    streamed(&file, piece_bytes);
    let _ = std::fs::remove_dir_all(&folder);
}

fn streamed(file: &Path, piece_bytes: usize) {
    let limits = Limits { max_whole_bytes: 0, piece_bytes, ..options().limits };
    let reading = ReadOptions { limits, sample_rate_hz: Some(2000.0), ..options() };
    let channel = ChannelOptions { unit: Some("A".into()), ..ChannelOptions::default() };
    let Ok(opened) = SampleStream::open(file, &reading, &channel) else { return };
    let mut stream = opened.value;
    let mut all_a = Vec::new();
    loop {
        match stream.next_block(&mut all_a) {
            Ok(true) => {}
            Ok(false) => break,
            Err(_) => return,
        }
    }
    assert!(all_a.iter().all(|i_a| i_a.is_finite() || i_a.is_nan()));
    assert!(stream.done_bytes() <= stream.size_bytes());
    assert!(stream.notes().iter().all(|note| !note.text.is_empty()));
    let bytes = std::fs::read(file).expect("it was read before");
    if matches!(Format::of(&bytes), Ok(Format::Wav | Format::Npy)) {
        let whole = read_file(file, &reading).expect("it was streamed").value;
        let samples = whole.current(&channel).expect("it was streamed").value;
        assert_eq!(samples.len(), all_a.len());
        for (k, i_a) in all_a.iter().enumerate() {
            assert_eq!(samples.sample_a(k), Some(*i_a).filter(|i_a| !i_a.is_nan()));
        }
    }
}
