use crate::description::{Description, misspelt};
use crate::error::Result;
use crate::meter::{Archetype, Detector, Meter};

/// The meter of that name: one of the description, a kind with a data sheet, or an ideal detector law by its key.
///
/// # Errors
/// `Malformed` with every known name and the nearest spelling.
pub fn named_meter(description: &Description, name: &str) -> Result<Meter> {
    if let Some(meter) = description.meters.iter().find(|meter| meter.name == name) {
        return Ok(meter.clone());
    }
    if let Some(kind) = Archetype::from_key(name) {
        return Ok(Meter::with_sheet(kind.words(), kind.sheet()));
    }
    if let Some(law) = Detector::from_key(name) {
        return Ok(Meter::ideal(law.words(), law));
    }
    let own = description.meters.iter().map(|meter| meter.name.as_str());
    let kinds = Archetype::ALL.map(Archetype::key);
    let laws = Detector::ALL.map(Detector::key);
    let known: Vec<&str> = own.chain(kinds).chain(laws).collect();
    Err(misspelt(format!("a meter: {}", known.join(", ")), name, known.iter().copied()))
}
