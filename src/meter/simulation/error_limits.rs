use crate::meter::{Range, Sheet};

use super::Conditions;

/// How far the sheet lets a meter be off at one reading, by line of the sheet: half-widths in
/// amperes, all of them for either sign.
///
/// None of it is in the reading: which part of its limits a single meter uses up is not known, so
/// each is an uncertainty. `None` where the sheet says nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ErrorLimits {
    /// The accuracy line for this range and frequency.
    pub accuracy_a: Option<f64>,
    /// What the crest factor adds.
    pub crest_a: Option<f64>,
    /// The class of the clamp.
    pub clamp_a: Option<f64>,
    /// The conductor off the clamp's centre.
    pub position_a: Option<f64>,
    /// The temperature, where it is known and the sheet speaks of it.
    pub temperature_a: Option<f64>,
    /// Half a step of the display.
    pub resolution_a: f64,
}

impl ErrorLimits {
    /// The limits on a range, under these conditions.
    #[must_use]
    pub fn at(sheet: &Sheet, range: &Range, conditions: &Conditions) -> Self {
        let reading_a = conditions.reading_a;
        let part = |ratio: f64| ratio * reading_a;
        let crest = sheet.crest.as_ref().zip(conditions.crest_factor);
        let heat = sheet.temperature.zip(conditions.ambient_degc);
        Self {
            accuracy_a: sheet.accuracy.limit_a(range, reading_a, conditions.frequency_hz),
            crest_a: crest.and_then(|(crest, factor)| crest.added_ratio(factor)).map(part),
            clamp_a: sheet.clamp.limit(reading_a).map(|limit| part(limit.error_ratio)),
            position_a: sheet.position_ratio.map(part),
            temperature_a: heat
                .map(|(temperature, ambient_degc)| part(temperature.added_ratio(ambient_degc))),
            resolution_a: 0.5 * range.resolution_a,
        }
    }
}
