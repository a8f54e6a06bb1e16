use jiff::civil::Date;

use crate::error::{Error, Result};
use crate::logbook::Logbook;
use crate::meter::Meter;

/// The meter of the logbook with that name, with its newest certificate of the day; without a name the
/// only one there is. `None` where the logbook knows none of that name, or none at all.
///
/// # Errors
/// `Malformed` when several are known and none is named: taking one would be a guess.
pub(super) fn known_meter(
    logbook: &Logbook,
    name: Option<&str>,
    day: Date,
    mains_hz: f64,
) -> Result<Option<Meter>> {
    let card = match name {
        Some(name) => logbook.meter(name)?,
        None => {
            let mut known = logbook.meters()?;
            if known.len() > 1 {
                let names: Vec<String> = known.into_iter().map(|filed| filed.card.name).collect();
                return Err(Error::malformed(
                    "--meter NAME: which meter is it?",
                    format!("{} known", names.join(", ")),
                ));
            }
            known.pop()
        }
    };
    let Some(filed) = card else { return Ok(None) };
    let certificates = logbook.certificates(&filed.card.name)?;
    let certificates: Vec<_> = certificates.into_iter().map(|filed| filed.card).collect();
    filed.card.meter_on(&certificates, day, mains_hz).map(Some)
}
