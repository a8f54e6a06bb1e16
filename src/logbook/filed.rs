use jiff::Timestamp;

/// What a logbook knows of a thing, and which entry says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Filed<T> {
    /// Number of the entry.
    pub number: u64,
    /// When it was written.
    pub at: Timestamp,
    /// Who wrote it.
    pub by: String,
    /// What it says.
    pub card: T,
}
