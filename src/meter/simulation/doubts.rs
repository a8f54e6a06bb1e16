//! What makes a single reading doubtful.

use crate::error::Note;
use crate::meter::{Bandwidth, Sheet};

use super::{Display, Signal, SimulatedReading};

/// Part of the RMS from which on harmonics beyond a table are worth a note. Our own choice.
const MUCH_BEYOND_RATIO: f64 = 0.01;

pub(super) fn of(sheet: &Sheet, signal: &Signal<'_>, reading: &SimulatedReading) -> Vec<Note> {
    [
        overload(reading),
        clipped(reading),
        beyond_crest_table(sheet, reading),
        no_accuracy(sheet, signal, reading),
        outside_class(sheet, reading),
        beyond_frequency_table(sheet, signal),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn overload(reading: &SimulatedReading) -> Option<Note> {
    (reading.display == Display::Overload).then(|| {
        Note::new(
            "overload",
            format!("the current is too large for the range of {} A", reading.range.full_scale_a),
        )
    })
}

fn clipped(reading: &SimulatedReading) -> Option<Note> {
    (reading.clipped_share_ratio > 0.0).then(|| {
        Note::new(
            "clipped",
            format!(
                "the peaks are clipped on the range of {} A, {:.1} % of the time: choose a higher \
                 range",
                reading.range.full_scale_a,
                100.0 * reading.clipped_share_ratio
            ),
        )
    })
}

fn beyond_crest_table(sheet: &Sheet, reading: &SimulatedReading) -> Option<Note> {
    let crest = sheet.crest.as_ref()?;
    let factor = reading.crest_factor?;
    let allowed = reading.allowed_crest_factor?;
    let is_beyond = factor > allowed || crest.added_ratio(factor).is_none();
    (is_beyond && reading.clipped_share_ratio <= 0.0).then(|| {
        Note::new(
            "crest-beyond-sheet",
            format!(
                "the crest factor of {factor:.2} is beyond what the sheet speaks of: its error is \
                 not stated"
            ),
        )
    })
}

fn no_accuracy(sheet: &Sheet, signal: &Signal<'_>, reading: &SimulatedReading) -> Option<Note> {
    let frequency_hz = signal.waveform.frequency_hz();
    let Some(line) = sheet.accuracy.line(&reading.range, frequency_hz) else {
        return Some(Note::new(
            "no-accuracy",
            format!(
                "the sheet states no accuracy for the range of {} A at {frequency_hz:.1} Hz",
                reading.range.full_scale_a
            ),
        ));
    };
    let least_a = line.from_share_ratio * reading.range.full_scale_a;
    (reading.breakdown.true_a() < least_a).then(|| {
        Note::new(
            "below-specified-share",
            format!(
                "the accuracy is stated from {least_a} A on in the range of {} A: below, the \
                 meter may show anything",
                reading.range.full_scale_a
            ),
        )
    })
}

fn outside_class(sheet: &Sheet, reading: &SimulatedReading) -> Option<Note> {
    let limit = sheet.clamp.limit(reading.breakdown.true_a())?;
    (!limit.is_within_table).then(|| {
        Note::new(
            "outside-clamp-class",
            format!(
                "the clamp's class says nothing at {:.2} A; a limit of {:.1} % is carried on by \
                 our own rule",
                reading.breakdown.true_a(),
                100.0 * limit.error_ratio
            ),
        )
    })
}

fn beyond_frequency_table(sheet: &Sheet, signal: &Signal<'_>) -> Option<Note> {
    let Bandwidth::Table(lines) = &sheet.bandwidth else { return None };
    let last_hz = lines.last()?.frequency_hz;
    let square_a2 = signal.transform.square_above_a2(last_hz);
    (square_a2.sqrt() > MUCH_BEYOND_RATIO * signal.measures.dc.rms_a).then(|| {
        Note::new(
            "beyond-frequency-table",
            format!(
                "part of the current lies above {last_hz} Hz, where the sheet says nothing; the \
                 response is carried on as 1 / frequency by our own rule"
            ),
        )
    })
}
