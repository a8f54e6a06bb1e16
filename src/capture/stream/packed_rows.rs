use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use crate::error::{Error, Noted, Result};

use super::super::{FileLayout, Format, ReadOptions, Record, comtrade, read_bytes, wav};

/// Rows of equal length in a large file, and what stands before them when they are read.
#[derive(Debug)]
pub(super) struct PackedRows {
    /// The file of the rows.
    pub(super) path: PathBuf,
    /// Its length.
    pub(super) size_bytes: u64,
    /// Where the first row begins.
    pub(super) start: u64,
    pub(super) row_bytes: usize,
    /// Rows there should be.
    pub(super) promised: Option<u64>,
    before: Before,
}

#[derive(Debug)]
enum Before {
    /// The configuration of a record in two files.
    Configuration(Vec<u8>),
    /// The header of the same file.
    Header(Vec<u8>),
}

impl PackedRows {
    /// The rows of a large binary record or sound file; `None` for what is read in another way.
    ///
    /// # Errors
    /// As the reader of whole files, for a configuration or a header.
    pub(super) fn of(
        path: &Path,
        head: &[u8],
        least_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        if let Some(configuration) = comtrade::configuration_beside(path) {
            return Self::of_record(&configuration, path, least_bytes, options);
        }
        match Format::of(head) {
            Ok(Format::Comtrade) => {
                Self::of_record(path, &comtrade::data_beside(path), least_bytes, options)
            }
            Ok(Format::Wav) => Self::of_sound(path, head, least_bytes, options),
            _ => Ok(None),
        }
    }

    fn of_record(
        configuration: &Path,
        data: &Path,
        least_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let size_bytes = std::fs::metadata(data).map_or(0, |about| about.len());
        if size_bytes <= least_bytes {
            return Ok(None);
        }
        let mut bytes = Vec::new();
        File::open(configuration)
            .and_then(|file| file.take(options.limits.max_file_bytes).read_to_end(&mut bytes))
            .map_err(|source| Error::io(configuration, source))?;
        let plan =
            comtrade::even_rows(&bytes, options).map_err(|error| error.in_file(configuration))?;
        Ok(plan.map(|(row_bytes, promised)| Self {
            path: data.to_owned(),
            size_bytes,
            start: 0,
            row_bytes,
            promised: Some(promised as u64),
            before: Before::Configuration(bytes),
        }))
    }

    fn of_sound(
        path: &Path,
        head: &[u8],
        least_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let size_bytes = std::fs::metadata(path).map_or(0, |about| about.len());
        let Some(start) = wav::first_sample(head).filter(|_| size_bytes > least_bytes) else {
            return Ok(None);
        };
        let record = read_bytes(head, options).map_err(|error| error.in_file(path))?.value;
        let FileLayout::Sound(layout) = &record.layout else { return Ok(None) };
        Ok(Some(Self {
            path: path.to_owned(),
            size_bytes,
            start: start as u64,
            row_bytes: layout.bits / 8 * layout.channels,
            promised: layout.promised_samples.map(|samples| samples as u64),
            before: Before::Header(head[..start].to_vec()),
        }))
    }

    /// Some of the rows as a record of their own.
    pub(super) fn read(&self, rows: Vec<u8>, options: &ReadOptions) -> Result<Noted<Record>> {
        match &self.before {
            Before::Configuration(bytes) => comtrade::read_two_parts(bytes, rows, options),
            Before::Header(bytes) => read_bytes(&[bytes.as_slice(), &rows].concat(), options),
        }
    }

    /// Rows beyond the promise that are none: a sound file may go on with other things.
    pub(super) fn rows_at_most(&self) -> u64 {
        match self.before {
            Before::Configuration(_) => u64::MAX,
            Before::Header(_) => self.promised.unwrap_or(u64::MAX),
        }
    }

    /// The number that row `at` carries, where rows are numbered.
    pub(super) fn number(&self, rows: &[u8], at: usize) -> Option<u32> {
        match self.before {
            Before::Configuration(_) => {
                let bytes = rows.get(at * self.row_bytes..)?.first_chunk()?;
                Some(u32::from_le_bytes(*bytes))
            }
            Before::Header(_) => None,
        }
    }

    /// What makes the promise, in words.
    pub(super) fn promise_of(&self) -> &'static str {
        match self.before {
            Before::Configuration(_) => "configuration",
            Before::Header(_) => "header",
        }
    }
}
