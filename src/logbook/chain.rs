//! The chain of hashes that ties each entry to all before it.
//!
//! # Formula
//! `hash` is the SHA-256 (FIPS 180-4), in lower-case hexadecimal digits, of these bytes in UTF-8,
//! each line ended by one newline (0x0A):
//!
//! ```text
//! loopcrest entry 1
//! <previous hash>
//! <number>
//! <time, as it is stored>
//! <number of the visit, or ->
//! <number of the entry it replaces, or ->
//! <kind>
//! <bytes in the name of the person> <the name>
//! <bytes in the name of the program> <the name>
//! <bytes in the JSON text> <the JSON text, as it is stored>
//! ```
//!
//! The previous hash of entry 1 is that of no bytes ([`OF_NOTHING`]). The lengths make sure that no two
//! entries share their bytes. `tests/reference/logbook/chain.py` computes the same without this program.
//!
//! What the chain shows: an entry that was changed, removed or put in between. What it cannot show by
//! itself: that the newest entries were cut off, or that all of it was written anew by someone who
//! knows this page. Against both helps a hash that stands on paper: a record shows the last one of
//! its day.

use sha2::{Digest, Sha256};

use super::stored_entry::StoredEntry;

/// Hash of no bytes (FIPS 180-4): what stands before the first entry.
pub const OF_NOTHING: &str = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";

/// The hash an entry must carry.
pub(super) fn hash_of(entry: &StoredEntry) -> String {
    let number = |number: Option<u64>| number.map_or("-".to_owned(), |number| number.to_string());
    let counted = |text: &str| format!("{} {text}\n", text.len());
    let mut bytes = format!(
        "loopcrest entry 1\n{}\n{}\n{}\n{}\n{}\n{}\n",
        entry.previous_hash,
        entry.number,
        entry.at,
        number(entry.visit),
        number(entry.replaces),
        entry.kind
    );
    for text in [&entry.by, &entry.program, &entry.json] {
        bytes += &counted(text);
    }
    Sha256::digest(bytes.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}
