use std::io::Cursor;
use std::sync::Arc;

use hound::{SampleFormat, WavReader};

use crate::error::{Bounds, Error, Note, Noted, Result};

use super::packed::{Coding, Packed};
use super::text::promise_not_kept;
use super::{
    Channel, ChannelScale, FileLayout, ReadOptions, Record, Samples, SoundLayout, Timing,
    TimingSource,
};

/// What the size of the data is where the recorder did not know it when it began.
const SIZES_OF_STREAMS: [u32; 2] = [0, u32::MAX];

/// The record in a sound file: values are parts of full scale, since the file knows no amperes.
///
/// The header is read by a maintained library; the samples stay where they are.
pub(super) fn read_wav(file: &Arc<Vec<u8>>, options: &ReadOptions) -> Result<Noted<Record>> {
    let reader = WavReader::new(Cursor::new(file.as_slice())).map_err(|error| {
        Error::malformed("a whole WAV file", format!("one that is not ({error})"))
            .with_hint("was it copied to the end?")
    })?;
    let spec = reader.spec();
    let promised = reader.duration();
    // What is left of the reader stands at the first sample.
    let start = usize::try_from(reader.into_inner().position()).unwrap_or(usize::MAX);
    let count = usize::from(spec.channels);
    Bounds::new("number of channels", "", 1.0, options.limits.max_columns as f64)
        .check(count as f64)?;
    let bits = spec.bits_per_sample;
    let (coding, factor) = match (spec.sample_format, bits) {
        (SampleFormat::Int, 8) => (Coding::Offset8, 1.0 / 128.0),
        (SampleFormat::Int, 16) => (Coding::Whole16, 1.0 / 32_768.0),
        (SampleFormat::Int, 24) => (Coding::Whole24, 1.0 / 8_388_608.0),
        (SampleFormat::Int, 32) => (Coding::Whole32, 1.0 / 2_147_483_648.0),
        (SampleFormat::Float, 32) => (Coding::Float32, 1.0),
        _ => {
            return Err(Error::malformed(
                "samples of 8, 16, 24 or 32 bits",
                format!("samples of {bits} bits"),
            ));
        }
    };
    let frame = coding.bytes() * count;
    let frames_in_file = file.len().saturating_sub(start) / frame;
    let promised = promised as usize;
    let mut notes = Vec::new();
    let streamed = SIZES_OF_STREAMS.contains(&size_of_data(file, start));
    let frames = if streamed { frames_in_file } else { promised.min(frames_in_file) };
    if streamed {
        notes.push(Note::new(
            "length-not-written",
            format!(
                "the header gives no length; all {frames} samples to the end of the file are used"
            ),
        ));
    } else if promised > frames_in_file {
        notes.push(promise_not_kept("header", promised as f64, frames_in_file));
    }
    if frames == 0 {
        return Err(Error::malformed("samples", "a WAV file without any"));
    }
    let scale = ChannelScale { full_scale: Some(1.0), ..ChannelScale::default() };
    let channels = (0..count)
        .map(|at| {
            let packed = Packed {
                file: Arc::clone(file),
                start: start + at * coding.bytes(),
                stride: frame,
                count: frames,
                coding,
                factor,
                offset: 0.0,
                missing: None,
            };
            Channel::packed(at + 1, None, None, packed).with_scale(scale)
        })
        .collect();
    let written_hz = f64::from(spec.sample_rate);
    Samples::SAMPLE_RATE_HZ.check(written_hz)?;
    let timing = match options.sample_rate_hz {
        Some(rate_hz) => Timing::given(rate_hz, TimingSource::Caller),
        None => Timing::given(written_hz, TimingSource::Header),
    };
    let layout = SoundLayout {
        bits: usize::from(bits),
        floating: spec.sample_format == SampleFormat::Float,
        channels: count,
        sample_rate_hz: written_hz,
        promised_samples: (!streamed).then_some(promised),
    };
    let record = Record {
        channels,
        timing: Some(timing),
        metadata: Vec::new(),
        layout: FileLayout::Sound(layout),
        problems: Vec::new(),
        problem_count: 0,
    };
    Ok(Noted { value: record, notes })
}

/// The size written just before the first sample.
fn size_of_data(file: &[u8], start: usize) -> u32 {
    let before = start.checked_sub(4).and_then(|at| file.get(at..start));
    before.and_then(|bytes| bytes.first_chunk()).map_or(1, |bytes| u32::from_le_bytes(*bytes))
}

/// Where the first sample stands, when the header is within these bytes.
pub(super) fn first_sample(head: &[u8]) -> Option<usize> {
    let reader = WavReader::new(Cursor::new(head)).ok()?;
    usize::try_from(reader.into_inner().position()).ok()
}
