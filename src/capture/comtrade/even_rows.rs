use crate::capture::ReadOptions;
use crate::error::Result;

use super::binary::row_bytes;
use super::configuration::Configuration;

/// Bytes of a row and number of rows promised, where the rows of a record can be read some at a time:
/// binary data at one known sample rate. `None` for others.
///
/// # Errors
/// As [`super::read_two_parts`] for the configuration.
pub(in crate::capture) fn even_rows(
    configuration: &[u8],
    options: &ReadOptions,
) -> Result<Option<(usize, usize)>> {
    let configuration = Configuration::read(configuration, &options.limits)?;
    let Some(coding) = configuration.kind.coding() else { return Ok(None) };
    let [(rate_hz, promised)] = configuration.rates[..] else { return Ok(None) };
    let rate_is_known = options.sample_rate_hz.is_some() || rate_hz.is_some_and(|hz| hz > 0.0);
    let is_first = options.section.is_none_or(|number| number == 1);
    Ok((rate_is_known && is_first).then(|| (row_bytes(&configuration, coding), promised)))
}
