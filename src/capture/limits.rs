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
}

impl Limits {
    /// 512 MiB of text, 1024 columns, a million rows left out.
    pub const DEFAULT: Self =
        Self { max_file_bytes: 512 << 20, max_columns: 1024, max_missing_rows: 1_000_000 };
}

impl Default for Limits {
    fn default() -> Self {
        Self::DEFAULT
    }
}
