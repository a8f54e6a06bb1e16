use crate::error::{Note, Result};
use crate::regulator::ResonantRegulator;
use crate::series::{Field, FilamentLamp, FixtureGroup, FixtureKind, IsolatingTransformer};

use super::Situation;

/// Rated current of the lamps.
const LAMP_RMS_A: f64 = 6.6;
/// Rating of a transformer over the power of its lamp.
const TRANSFORMER_RATIO: f64 = 1.25;

/// Equal fixtures whose lamps take this share of the regulator's rating.
pub(super) fn generic_field(regulator: &ResonantRegulator, load_ratio: f64) -> Result<Field> {
    let values = &regulator.values;
    let count = Situation::EQUAL_FIXTURES;
    let lamp_w = load_ratio * values.rated_power_w / f64::from(count);
    let transformer = IsolatingTransformer::generic(
        TRANSFORMER_RATIO * lamp_w,
        values.rated_current_rms_a,
        LAMP_RMS_A,
        values.rated_frequency_hz,
    )?;
    let lamp = FixtureKind::Lamp(FilamentLamp::new(lamp_w, LAMP_RMS_A)?);
    let group = FixtureGroup::new("equal fixtures", count, lamp, transformer)?;
    Ok(Field { groups: vec![group], cable: Vec::new(), fault: None })
}

/// What stands in for what.
pub(super) fn note(load_ratio: f64) -> Note {
    Note::new(
        "equal-fixtures",
        format!(
            "{} equal fixtures of our own stand in for a load of {} % of rated: lamps out need a field",
            Situation::EQUAL_FIXTURES,
            (1e4 * load_ratio).round() / 1e2
        ),
    )
}
