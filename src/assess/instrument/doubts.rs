//! What makes a meter doubtful at a step, and which doubts rule it out.

use crate::error::Note;
use crate::meter::{Circumstances, Clamp, Sheet, SimulatedReading};

use super::{Reason, StepCurrents, Terms};

/// Findings that rule a meter out whatever its uncertainty. A voltage category below the loop's voltage
/// is none of them: it says nothing of the number shown, see [`super::Verdict::danger`].
const RULING_OUT: [&str; 8] = [
    "overload",
    "clipped",
    "crest-beyond-sheet",
    "no-accuracy",
    "below-specified-share",
    "certificate-overdue",
    "certificate-not-yet",
    "coarse-resolution",
];

/// Whether a note says that the sheet promises no accuracy here.
pub(super) fn is_without_accuracy(note: &Note) -> bool {
    ["no-accuracy", "below-specified-share"].contains(&note.code)
}

/// The doubts among these notes that rule the meter out.
pub(super) fn ruled_out(notes: &[Note]) -> Vec<Reason> {
    notes
        .iter()
        .filter(|note| RULING_OUT.contains(&note.code))
        .map(|note| Reason::Finding(note.clone()))
        .collect()
}

/// Every finding of the sheet under these circumstances and of the readings, each once.
pub(super) fn notes(
    sheet: &Sheet,
    currents: &StepCurrents,
    readings: &[SimulatedReading],
    terms: &Terms,
) -> Vec<Note> {
    let band = currents.step().band;
    let circumstances = Circumstances {
        today: terms.today,
        loop_rms_v: currents.loop_rms_v(),
        band_width_a: Some(band.high_a() - band.low_a()),
        ambient_degc: terms.ambient_degc,
    };
    let mut notes = sheet.findings(&circumstances);
    for note in readings.iter().flat_map(|reading| &reading.notes) {
        // Several currents can have the same doubt with other numbers: the first stands for them.
        if notes.iter().all(|known| known.code != note.code) {
            notes.push(note.clone());
        }
    }
    notes.extend(not_stated(sheet));
    if currents.currents().len() == 1 {
        notes.push(Note::new(
            "one-waveform",
            format!(
                "{}: only one waveform is given, how the correction changes with load and lamps out \
                 is not in the uncertainty",
                currents.connection().words()
            ),
        ));
    }
    notes
}

/// What the sheet leaves out and therefore adds nothing to the uncertainty.
fn not_stated(sheet: &Sheet) -> Option<Note> {
    let mut silent = Vec::new();
    if sheet.crest.is_none() {
        silent.push("crest-factor capability");
    }
    if matches!(&sheet.clamp, Clamp::IronCore(core) if core.class.is_none()) {
        silent.push("class of the clamp");
    }
    if sheet.position_ratio.is_none() && !matches!(sheet.clamp, Clamp::Direct) {
        silent.push("error by position of the conductor");
    }
    (!silent.is_empty()).then(|| {
        Note::new(
            "not-stated",
            format!("the sheet states no {}: nothing is counted for it", silent.join(", no ")),
        )
    })
}
