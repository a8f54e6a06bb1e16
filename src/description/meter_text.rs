use crate::error::{Error, Result};
use crate::meter::Meter;

use super::complaint::from_toml;
use super::raw::RawMeters;
use super::reader::Reader;

/// Reads a text with one `[[meter]]` and nothing else, as [`sheet_text`](super::sheet_text) writes it,
/// for use at a mains frequency.
///
/// # Errors
/// `Malformed`, `OutOfRange` or `Inconsistent`, with line, column and field; `Inconsistent` for more
/// than one meter.
pub fn read_meter(text: &str, mains_hz: f64) -> Result<Meter> {
    let raw: RawMeters = toml::from_str(text).map_err(|complaint| from_toml(text, &complaint))?;
    let mut meters = Reader { text, folder: None }.meters(&raw.meter, mains_hz)?;
    match (meters.pop(), meters.len()) {
        (Some(meter), 0) => Ok(meter),
        (_, others) => {
            let found = format!("{} of them", others + 1);
            Err(Error::malformed("one [[meter]]", found))
        }
    }
}
