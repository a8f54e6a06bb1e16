/// How much of a file the reader is willing to hold in memory.
///
/// What a header promises never reserves memory; only what is really in the file does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Largest file read into memory, in bytes.
    pub max_file_bytes: u64,
    /// Largest number of columns in a table.
    pub max_columns: usize,
    /// Largest number of samples that time stamps may add between rows for rows left out; never more
    /// than 2^28 samples in all.
    pub max_missing_rows: usize,
    /// Largest file that is read as a whole where it could be streamed, in bytes.
    pub max_whole_bytes: u64,
    /// Bytes of a file that are looked at together when it is read piece by piece.
    pub piece_bytes: usize,
}

impl Limits {
    /// 512 MiB of text, 1024 columns, a million rows left out; pieces of 4 MiB, streams from 16 MiB on.
    pub const DEFAULT: Self = Self {
        max_file_bytes: 512 << 20,
        max_columns: 1024,
        max_missing_rows: 1_000_000,
        max_whole_bytes: 16 << 20,
        piece_bytes: 4 << 20,
    };
}

impl Default for Limits {
    fn default() -> Self {
        Self::DEFAULT
    }
}
