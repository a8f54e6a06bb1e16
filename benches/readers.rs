//! How long one reader takes for one file, for `readers.py`: `readers FORMAT FILE REPEATS` prints seconds.

#![allow(clippy::print_stdout, reason = "the numbers are what this program is for")]

use std::hint::black_box;
use std::io::Read;
use std::time::Instant;

use loopcrest::capture::{ChannelOptions, ColumnChoice, FullScale, ReadOptions, read_file};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let [what, file, repeats] = arguments.as_slice() else {
        return;
    };
    let repeats = repeats.parse().unwrap_or(5);
    for _ in 0..repeats {
        let start = Instant::now();
        match what.as_str() {
            "bytes" => {
                black_box(std::fs::read(file).expect("the file is there"));
            }
            "stream" => stream(file),
            "values" => values(file),
            "read" => {
                let limits =
                    loopcrest::capture::Limits { max_file_bytes: 4 << 30, ..Default::default() };
                let options = ReadOptions { limits, ..ReadOptions::default() };
                black_box(read_file(file, &options).expect("a good file"));
            }
            _ => current(file, what == "sound"),
        }
        println!("{}", start.elapsed().as_secs_f64());
    }
}

/// The bytes through one small buffer, as a copying program reads them.
fn stream(file: &str) {
    let mut file = std::fs::File::open(file).expect("the file is there");
    let mut buffer = vec![0; 1 << 20];
    while file.read(&mut buffer).expect("a good file") > 0 {
        black_box(&buffer);
    }
}

/// From the file through every value of the first channel, none of them kept.
fn values(file: &str) {
    let limits = loopcrest::capture::Limits { max_file_bytes: 4 << 30, ..Default::default() };
    let options = ReadOptions { limits, ..ReadOptions::default() };
    let record = read_file(file, &options).expect("a good file").value;
    let mut square = 0.0;
    record.channels[0].each_block(|block| square += block.iter().map(|v| v * v).sum::<f64>());
    black_box(square);
}

/// From the file to one channel in amperes, all samples kept.
fn current(file: &str, sound: bool) {
    let limits = loopcrest::capture::Limits { max_file_bytes: 4 << 30, ..Default::default() };
    let options = ReadOptions { limits, ..ReadOptions::default() };
    let record = read_file(file, &options).expect("a good file").value;
    let channel = ChannelOptions {
        column: ColumnChoice::Number(record.channels[0].number),
        full_scale: sound.then_some(FullScale::CurrentA(20.0)),
        ..ChannelOptions::default()
    };
    black_box(record.current(&channel).expect("a current"));
}
