//! Limits of error over the reading, by the data sheets.

use crate::classroom::training::TrainingCircuit;
use crate::error::{Error, Result};
use crate::meter::{Archetype, Conditions, ErrorLimits, Sheet};
use crate::plot::{Figure, RangeBottomStep, range_bottom_figure};

/// Readings drawn: every 0.1 A from the lowest.
const FROM_A: f64 = 1.0;
const STEP_A: f64 = 0.1;
const READINGS: usize = 71;
/// The meter the other is held against.
const BESIDE: Archetype = Archetype::PrecisionTrueRmsClamp;

pub(in crate::classroom::training) fn figure(
    circuit: &TrainingCircuit,
    meter: Archetype,
) -> Result<Figure> {
    let mains_hz = circuit.description.frequency_hz;
    let course = |sheet: &Sheet| -> Vec<(f64, f64)> {
        let readings = (0..READINGS).map(|k| (k as f64).mul_add(STEP_A, FROM_A));
        readings.filter_map(|at| Some((at, limit_ratio(sheet, at, mains_hz)?))).collect()
    };
    let sheet = meter.sheet();
    let mut meters = vec![(meter.words().to_owned(), course(&sheet))];
    if meter != BESIDE {
        meters.push((BESIDE.words().to_owned(), course(&BESIDE.sheet())));
    }
    let steps: Vec<RangeBottomStep> = circuit
        .steps()
        .iter()
        .map(|step| {
            let nominal_a = step.nominal.a();
            let room_a = (nominal_a - step.band.low_a()).min(step.band.high_a() - nominal_a);
            RangeBottomStep {
                step: step.number,
                nominal_a,
                room_ratio: room_a / nominal_a,
                limit_ratio: limit_ratio(&sheet, nominal_a, mains_hz),
            }
        })
        .collect();
    let top_a = circuit.description.steps.top().nominal.a();
    let range = sheet.ranges.choose(top_a, top_a, sheet.crest.as_ref());
    let range = range.ok_or_else(|| Error::inconsistent("the meter has no range"))?;
    let line = sheet.accuracy.line(range, mains_hz);
    let lowest_a = line
        .map(|line| line.from_share_ratio * range.full_scale_a)
        .filter(|lowest_a| *lowest_a > 0.0);
    Ok(range_bottom_figure(&meters, &steps, range.full_scale_a, lowest_a))
}

/// The limit over the reading: the accuracy line and half a step of the display. `None` where the
/// sheet has no line, or the reading lies below the share of the range the line is meant for.
fn limit_ratio(sheet: &Sheet, reading_a: f64, mains_hz: f64) -> Option<f64> {
    let range = sheet.ranges.choose(reading_a, reading_a, sheet.crest.as_ref())?;
    let line = sheet.accuracy.line(range, mains_hz)?;
    if reading_a < line.from_share_ratio * range.full_scale_a {
        return None;
    }
    let conditions =
        Conditions { reading_a, crest_factor: None, frequency_hz: mains_hz, ambient_degc: None };
    let limits = ErrorLimits::at(sheet, range, &conditions);
    Some((limits.accuracy_a? + limits.resolution_a) / reading_a)
}
