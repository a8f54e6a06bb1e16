use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::Entry;

/// An entry as it was written down: its number, when, by whom, by which program, and its place in
/// the chain.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoggedEntry {
    /// Number in the logbook, from 1 on, without gaps.
    pub number: u64,
    /// When it was written, UTC.
    pub at: Timestamp,
    /// Who wrote it.
    pub by: String,
    /// Program and version that wrote it.
    pub program: String,
    /// Number of the opening of the visit it belongs to; its own for an opening.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub visit: Option<u64>,
    /// Number of the entry it replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<u64>,
    /// What it says.
    pub entry: Entry,
    /// Hash of the entry before, in hexadecimal digits; of nothing for the first.
    pub previous_hash: String,
    /// Hash of this one.
    pub hash: String,
}
