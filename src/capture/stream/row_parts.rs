use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::ops::Range;
use std::path::{Path, PathBuf};

use crate::error::{Error, Note, Noted, Result};

use super::super::comtrade::{self, LongRecord};
use super::super::line_reader::LineReader;
use super::super::{FileLayout, Format, ReadOptions, Record, TimeColumn, npy, read_bytes, wav};

/// Most bytes of binary rows read at a time.
const PART_BYTES: usize = 1 << 20;

/// The rows of a large file, some at a time, each time as a record of their own.
#[derive(Debug)]
pub(super) struct RowParts {
    /// The file of the rows.
    pub(super) path: PathBuf,
    /// Its length.
    pub(super) size_bytes: u64,
    /// Samples there should be.
    pub(super) promised: Option<u64>,
    /// What there is to say before the first row.
    pub(super) notes: Vec<Note>,
    data: Range<u64>,
    before: Before,
    feed: Feed,
    piece_bytes: usize,
    rows_done: u64,
    lines_done: u64,
}

/// What has to stand before the rows for them to be read.
#[derive(Debug)]
enum Before {
    Record(Box<LongRecord>),
    /// The header of the same file, and the length of a row.
    Header(Vec<u8>, usize),
}

/// Where the next rows come from.
#[derive(Debug)]
enum Feed {
    Bytes { file: File, left: u64, row_bytes: usize },
    Lines { lines: LineReader<File>, is_over: bool },
}

/// Some rows, not yet read.
#[derive(Debug)]
pub(super) struct RowPart {
    rows: Vec<u8>,
    /// Numbers of the first and of the last of them, where rows are numbered.
    pub(super) numbers: Option<(i64, i64)>,
    /// A line that the file breaks off in and nothing else.
    is_last_line: bool,
}

impl RowParts {
    /// The rows of a large record, sound file or array; `None` for what is read in another way.
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
        let size_bytes = std::fs::metadata(path).map_or(0, |about| about.len());
        let is_large = size_bytes > least_bytes;
        match Format::of(head) {
            Ok(Format::Comtrade) => {
                Self::of_record(path, &comtrade::data_beside(path), least_bytes, options)
            }
            Ok(Format::ComtradeSingle) if is_large => {
                let long = LongRecord::in_one_file(head, size_bytes, options)?;
                long.map(|long| Self::of_long(path, size_bytes, long, options)).transpose()
            }
            Ok(Format::Wav) if is_large => Self::of_sound(path, head, size_bytes, options),
            Ok(Format::Npy) if is_large => Self::of_array(path, head, size_bytes, options),
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
        let long = LongRecord::in_two_files(&bytes, size_bytes, options)
            .map_err(|error| error.in_file(configuration))?;
        long.map(|long| Self::of_long(data, size_bytes, long, options)).transpose()
    }

    fn of_long(
        path: &Path,
        size_bytes: u64,
        long: LongRecord,
        options: &ReadOptions,
    ) -> Result<Self> {
        let data = long.data.clone();
        let (promised, notes) = (long.promised, long.notes.clone());
        let rows = Self::new(path, size_bytes, data, Before::Record(Box::new(long)), options)?;
        Ok(Self { promised, notes, ..rows })
    }

    fn of_sound(
        path: &Path,
        head: &[u8],
        size_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let Some(start) = wav::first_sample(head) else { return Ok(None) };
        let record = read_bytes(head, options)?.value;
        let FileLayout::Sound(layout) = &record.layout else { return Ok(None) };
        let row_bytes = layout.bits / 8 * layout.channels;
        let promised = layout.promised_samples.map(|samples| samples as u64);
        Self::behind_header(
            path,
            size_bytes,
            Before::Header(head[..start].to_vec(), row_bytes),
            promised,
            options,
        )
    }

    /// An array whose rows are samples and that has no time axis of its own.
    fn of_array(
        path: &Path,
        head: &[u8],
        size_bytes: u64,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let Some(rows) = npy::rows(head)? else { return Ok(None) };
        let FileLayout::Array(layout) = read_bytes(head, options)?.value.layout else {
            return Ok(None);
        };
        if layout.time_column.is_some() {
            return Ok(None);
        }
        let promised = Some(rows.count as u64);
        Self::behind_header(
            path,
            size_bytes,
            Before::Header(head[..rows.start].to_vec(), rows.bytes),
            promised,
            options,
        )
    }

    fn behind_header(
        path: &Path,
        size_bytes: u64,
        before: Before,
        promised: Option<u64>,
        options: &ReadOptions,
    ) -> Result<Option<Self>> {
        let Before::Header(header, row_bytes) = &before else { return Ok(None) };
        let start = header.len() as u64;
        // Other things may stand behind the rows.
        let end = promised
            .and_then(|rows| rows.checked_mul(*row_bytes as u64)?.checked_add(start))
            .map_or(size_bytes, |end| end.min(size_bytes));
        let rows = Self::new(path, size_bytes, start.min(end)..end, before, options)?;
        Ok(Some(Self { promised, ..rows }))
    }

    fn new(
        path: &Path,
        size_bytes: u64,
        data: Range<u64>,
        before: Before,
        options: &ReadOptions,
    ) -> Result<Self> {
        let piece_bytes = options.limits.piece_bytes;
        let feed =
            feed(path, &data, &before, piece_bytes).map_err(|source| Error::io(path, source))?;
        Ok(Self {
            path: path.to_owned(),
            size_bytes,
            promised: None,
            notes: Vec::new(),
            data,
            before,
            feed,
            piece_bytes,
            rows_done: 0,
            lines_done: 0,
        })
    }

    /// Back to the first row.
    ///
    /// # Errors
    /// `Io` when the file cannot be opened any more.
    pub(super) fn rewind(&mut self) -> Result<()> {
        self.feed = feed(&self.path, &self.data, &self.before, self.piece_bytes)
            .map_err(|source| Error::io(&self.path, source))?;
        (self.rows_done, self.lines_done) = (0, 0);
        Ok(())
    }

    /// The next rows; `None` at the end.
    ///
    /// # Errors
    /// `Io` when the file cannot be read on.
    pub(super) fn next(&mut self) -> Result<Option<RowPart>> {
        let rows = match &mut self.feed {
            Feed::Bytes { file, left, row_bytes } => {
                let count = (self.piece_bytes.min(PART_BYTES) / *row_bytes).max(1);
                let most = (*left).min((count * *row_bytes) as u64);
                let mut rows = Vec::new();
                file.take(most)
                    .read_to_end(&mut rows)
                    .map_err(|source| Error::io(&self.path, source))?;
                *left -= rows.len() as u64;
                if rows.len() < *row_bytes {
                    return Ok(None);
                }
                rows
            }
            Feed::Lines { lines, is_over } => loop {
                let Some(piece) = lines.next_piece()?.filter(|_| !*is_over) else {
                    return Ok(None);
                };
                let length = match &self.before {
                    Before::Record(long) => long.rows_before_heading(piece),
                    Before::Header(..) => piece.len(),
                };
                *is_over = length < piece.len();
                let rows = &piece[..length];
                if rows.iter().any(|byte| !matches!(byte, b' ' | b'\r' | b'\n' | 0x1A | 0)) {
                    break rows.to_vec();
                }
                self.lines_done += memchr::memchr_iter(b'\n', rows).count() as u64;
            },
        };
        let numbers = match &self.before {
            Before::Record(long) => long.numbers(&rows),
            Before::Header(..) => None,
        };
        let is_last_line =
            matches!(self.feed, Feed::Lines { .. }) && memchr::memchr(b'\n', &rows).is_none();
        Ok(Some(RowPart { rows, numbers, is_last_line }))
    }

    /// Some of the rows as a record of their own; `None` for a last line that breaks off.
    ///
    /// # Errors
    /// As the reader of whole files.
    pub(super) fn read(
        &mut self,
        part: RowPart,
        options: &ReadOptions,
    ) -> Result<Option<Noted<Record>>> {
        let before = (self.rows_done, self.lines_done);
        match &self.before {
            Before::Record(long) => {
                if long.row_bytes.is_none() {
                    self.lines_done += memchr::memchr_iter(b'\n', &part.rows).count() as u64;
                }
                match long.read(part.rows, before, options) {
                    Ok(some) => {
                        self.rows_done += some.count as u64;
                        Ok(Some(some.read))
                    }
                    Err(_) if part.is_last_line && before.0 > 0 => Ok(None),
                    Err(error) => Err(error),
                }
            }
            Before::Header(header, row_bytes) => {
                self.rows_done += (part.rows.len() / row_bytes) as u64;
                // What the beginning shows to be no time axis is none later on.
                let options = ReadOptions { time_column: TimeColumn::Absent, ..options.clone() };
                read_bytes(&[header.as_slice(), &part.rows].concat(), &options).map(Some)
            }
        }
    }

    /// Rows that were read.
    pub(super) fn rows_done(&self) -> u64 {
        self.rows_done
    }

    /// Lines of text that were read.
    pub(super) fn lines_done(&self) -> u64 {
        self.lines_done
    }

    /// Bytes of the file that are done.
    pub(super) fn done_bytes(&self) -> u64 {
        match &self.feed {
            Feed::Bytes { left, .. } => self.data.end - left,
            Feed::Lines { is_over: true, .. } => self.data.end,
            Feed::Lines { lines, .. } => self.data.end.saturating_sub(lines.left_bytes()),
        }
    }

    /// What makes the promise, in words.
    pub(super) fn promise_of(&self) -> &'static str {
        match self.before {
            Before::Record(_) => "configuration",
            Before::Header(..) => "header",
        }
    }
}

fn feed(
    path: &Path,
    data: &Range<u64>,
    before: &Before,
    piece_bytes: usize,
) -> std::io::Result<Feed> {
    let mut file = File::open(path)?;
    file.seek(SeekFrom::Start(data.start))?;
    let left = data.end - data.start;
    let row_bytes = match before {
        Before::Record(long) => long.row_bytes,
        Before::Header(_, row_bytes) => Some(*row_bytes),
    };
    Ok(match row_bytes {
        Some(row_bytes) => Feed::Bytes { file, left, row_bytes },
        None => Feed::Lines { lines: LineReader::new(file, left, piece_bytes)?, is_over: false },
    })
}
