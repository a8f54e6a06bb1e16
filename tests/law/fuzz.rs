//! The fuzz targets, bounded: the same functions as in `fuzz/`, on files mutated with a fixed seed.

#[path = "../../fuzz/src/lib.rs"]
#[expect(unreachable_pub, reason = "a library of its own where the fuzzer builds it")]
mod targets;

use std::io::Cursor;

use loopcrest::capture::{DataKind, Revision, TransientChannel, TransientFile};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Inputs per seed of a target.
const ROUNDS: usize = 150;

fn sine(count: usize) -> Vec<f64> {
    (0..count).map(|k| 9.3 * (std::f64::consts::TAU * k as f64 / 40.0).sin()).collect()
}

fn transient(kind: DataKind) -> TransientFile {
    let current = TransientChannel::new("I", "A", sine(160));
    let mut file = TransientFile::new(Revision::Of2013, kind, 2000.0, vec![current]);
    file.status_channels = 3;
    file
}

fn text(separator: &str, comma: bool) -> Vec<u8> {
    let mut text = format!("Model,X\nSample Interval,0.5 ms\ntime (ms){separator}I (A)\n");
    for (k, i_a) in sine(160).iter().enumerate() {
        let row = format!("{}{separator}{i_a:.4}", 0.5 * k as f64);
        text += &if comma { row.replace('.', ",") } else { row };
        text.push('\n');
    }
    text.into_bytes()
}

fn sound(bits: u16, sample_format: hound::SampleFormat) -> Vec<u8> {
    let spec =
        hound::WavSpec { channels: 2, sample_rate: 2000, bits_per_sample: bits, sample_format };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for value in sine(160) {
        for channel in [value / 10.0, -value / 20.0] {
            match sample_format {
                hound::SampleFormat::Float => writer.write_sample(channel as f32).unwrap(),
                hound::SampleFormat::Int => writer.write_sample((channel * 3e4) as i32).unwrap(),
            }
        }
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

fn array(number: &str, size: usize) -> Vec<u8> {
    let header = format!("{{'descr': '{number}', 'fortran_order': False, 'shape': (80, 2), }}");
    let mut bytes = b"\x93NUMPY\x01\x00".to_vec();
    bytes.extend((header.len() as u16).to_le_bytes());
    bytes.extend(header.bytes());
    bytes.extend((0..160 * size).map(|k| (k * 37) as u8));
    bytes
}

/// What makes readers stumble.
const TOKENS: [&[u8]; 16] = [
    b"\n",
    b"\r\n",
    b",",
    b";",
    b"\"",
    b"\0",
    b"\x1a",
    b"-",
    b"e308",
    b"NaN",
    b"99999",
    b"\xff\xff\xff\xff",
    b"--- file type: DAT BINARY: 99999999 ---\n",
    b"2147483647",
    b"0",
    b"\xef\xbb\xbf",
];

fn mutate(seed: &[u8], other: &[u8], rng: &mut ChaCha8Rng) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for _ in 0..rng.random_range(1..6) {
        let at = rng.random_range(0..=bytes.len());
        let length = rng.random_range(0..24_usize).min(bytes.len() - at);
        match rng.random_range(0..6) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..at + length)),
            2 => {
                let token = TOKENS[rng.random_range(0..TOKENS.len())];
                bytes.splice(at..at + length.min(token.len()), token.iter().copied());
            }
            3 => bytes[at..at + length].iter_mut().for_each(|byte| *byte = rng.next_u32() as u8),
            4 => {
                let copy = bytes[at..at + length].to_vec();
                bytes.splice(at..at, copy);
            }
            _ => {
                let from = rng.random_range(0..=other.len());
                let to = (from + 4 * length).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
        }
    }
    bytes
}

fn run(target: fn(&[u8]), seeds: &[Vec<u8>]) {
    let mut rng = ChaCha8Rng::seed_from_u64(20_261_125);
    for seed in seeds {
        target(seed);
        for _ in 0..ROUNDS {
            let other = &seeds[rng.random_range(0..seeds.len())];
            target(&mutate(seed, other, &mut rng));
        }
    }
}

#[test]
fn law_no_delimited_text_makes_the_reader_panic() {
    run(
        targets::delimited,
        &[text(",", false), text(";", true), text("\t", false), text("  ", false)],
    );
}

#[test]
fn law_no_configuration_makes_the_reader_panic() {
    let seeds = DataKind::ALL.map(|kind| transient(kind).configuration().unwrap().into_bytes());
    run(targets::comtrade_cfg, &seeds);
}

#[test]
fn law_no_data_of_a_record_make_the_reader_panic() {
    let mut seeds = Vec::new();
    for (at, kind) in DataKind::ALL.into_iter().enumerate() {
        for rates in 0..3 {
            let mut seed = vec![(4 * rates + at) as u8];
            seed.extend(transient(kind).data().unwrap());
            seeds.push(seed);
        }
    }
    run(targets::comtrade_dat, &seeds);
}

#[test]
fn law_no_single_file_makes_the_reader_panic() {
    run(targets::cff, &DataKind::ALL.map(|kind| transient(kind).single().unwrap()));
}

#[test]
fn law_no_sound_file_makes_the_reader_panic() {
    let int = hound::SampleFormat::Int;
    let seeds = [sound(16, int), sound(24, int), sound(32, hound::SampleFormat::Float)];
    run(targets::wav, &seeds);
}

#[test]
fn law_no_array_makes_the_reader_panic() {
    run(targets::npy, &[array("<f8", 8), array(">f4", 4), array("<i2", 2)]);
}

#[test]
fn law_no_file_makes_the_stream_panic() {
    let choose = |choice: u8, bytes: &[u8]| [&[choice], bytes].concat();
    let mut seeds = Vec::new();
    for piece in 0..4 {
        seeds.push(choose(piece, &text(";", true)));
        seeds.push(choose(4 + piece, &sound(16, hound::SampleFormat::Int)[4..]));
        seeds.push(choose(8 + piece, &array("<f8", 8)[6..]));
        for (kind, bit) in [(DataKind::Ascii, 0), (DataKind::Binary, 64)] {
            let mut record = transient(kind);
            record.status_channels = 1;
            let rows = record.data().unwrap();
            let size = if bit == 0 { String::new() } else { format!(": {}", rows.len()) };
            let heading = format!("{size} ---\r\n");
            seeds.push(choose(bit + 12 + piece, &[heading.as_bytes(), &rows].concat()));
            seeds.push(choose(bit + 16 + piece, &rows));
        }
    }
    run(targets::stream, &seeds);
}

#[test]
fn law_no_description_makes_the_reader_panic() {
    let seed = include_bytes!("../../src/description/embedded.toml").to_vec();
    run(targets::description, &[seed.clone(), seed]);
}
