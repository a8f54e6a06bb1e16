use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;
use std::sync::Arc;

use crate::error::{Bounds, Error, Noted, Result};

use super::comtrade;
use super::npy::read_npy;
use super::text::read_text;
use super::wav::read_wav;
use super::{Format, ReadOptions, Record, Samples};

/// The record in a file an instrument wrote, whatever its format.
///
/// A COMTRADE record may be named by its configuration or by its data; the other one is looked for
/// beside it.
///
/// # Errors
/// `Io` when the file, or the other half of a record in two files, cannot be read; otherwise as
/// [`read_bytes`], with the file named.
pub fn read_file(path: impl AsRef<Path>, options: &ReadOptions) -> Result<Noted<Record>> {
    let path = path.as_ref();
    if let Some(configuration) = comtrade::configuration_beside(path) {
        return comtrade::read_two(&configuration, path, options);
    }
    if let Some(read) = read_text_file(path, options) {
        return read.map_err(|error| error.in_file(path));
    }
    let bytes = whole(path, options)?;
    if Format::of(&bytes).is_ok_and(|format| format == Format::Comtrade) {
        return comtrade::read_two(path, &comtrade::data_beside(path), options);
    }
    read_shared(bytes, options).map_err(|error| error.in_file(path))
}

/// The record in the bytes of one file.
///
/// The format is found from the content; what the options say outranks what the file says. A sample
/// without a finite value becomes a gap that keeps its place in time.
///
/// # Errors
/// `OutOfRange` for a file beyond the limits or a sample rate that makes no sense; `Malformed` when
/// there are no samples or the file is of a kind that holds none; `Inconsistent` when a column asked
/// for does not exist, the time column cannot be one, or the file is half of a record.
///
/// # Example
/// ```
/// use loopcrest::capture::{ReadOptions, read_bytes};
/// let record = read_bytes(b"t;I (A)\n0,0;1,5\n0,1;-1,5\n", &ReadOptions::default()).unwrap().value;
/// assert_eq!(record.channels[0].value(1), Some(-1.5));
/// assert_eq!(record.timing.map(|timing| timing.sample_rate_hz), Some(10.0));
/// ```
pub fn read_bytes(bytes: &[u8], options: &ReadOptions) -> Result<Noted<Record>> {
    check(bytes.len() as u64, options)?;
    match Format::of(bytes)? {
        // Text is unpacked at once, the others stay as they are.
        Format::DelimitedText => read_text(Cursor::new(bytes), bytes.len() as u64, options),
        _ => read_shared(bytes.to_vec(), options),
    }
}

/// The record in a file of delimited text, read piece by piece; `None` for what is read as a whole.
fn read_text_file(path: &Path, options: &ReadOptions) -> Option<Result<Noted<Record>>> {
    let mut file = File::open(path).ok()?;
    let about = file.metadata().ok().filter(std::fs::Metadata::is_file)?;
    let mut head = Vec::new();
    (&mut file).take(Format::HEAD as u64).read_to_end(&mut head).ok()?;
    let is_text = Format::of(&head).is_ok_and(|format| format == Format::DelimitedText);
    is_text.then(|| {
        check(about.len(), options)?;
        read_text(file, about.len(), options)
    })
}

fn read_shared(bytes: Vec<u8>, options: &ReadOptions) -> Result<Noted<Record>> {
    check(bytes.len() as u64, options)?;
    match Format::of(&bytes)? {
        Format::DelimitedText => {
            read_text(Cursor::new(bytes.as_slice()), bytes.len() as u64, options)
        }
        Format::Wav => read_wav(&Arc::new(bytes), options),
        Format::Npy => read_npy(&Arc::new(bytes), options),
        Format::ComtradeSingle => comtrade::read_single(bytes, options),
        Format::Comtrade => Err(Error::inconsistent(
            "this is the configuration of a COMTRADE record; its data are in another file",
        )
        .with_hint("keep both files in one folder and name either")),
    }
}

fn check(size_bytes: u64, options: &ReadOptions) -> Result<()> {
    Bounds::new("file size", "byte", 0.0, options.limits.max_file_bytes as f64)
        .check(size_bytes as f64)
        .map_err(|e| e.with_hint("cut the file, or raise the limit"))?;
    if let Some(rate_hz) = options.sample_rate_hz {
        Samples::SAMPLE_RATE_HZ.check(rate_hz)?;
    }
    Ok(())
}

/// A file's bytes, one more than allowed at most.
pub(super) fn whole(path: &Path, options: &ReadOptions) -> Result<Vec<u8>> {
    let io = |source| Error::io(path, source);
    let file = File::open(path).map_err(io)?;
    // One byte more than allowed tells a file that is too large, whatever its size is said to be.
    let most = options.limits.max_file_bytes.saturating_add(1);
    let size = file.metadata().map_or(0, |about| about.len().min(most));
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0).saturating_add(1));
    file.take(most).read_to_end(&mut bytes).map_err(io)?;
    Ok(bytes)
}
