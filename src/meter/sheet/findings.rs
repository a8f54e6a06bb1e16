//! What makes a meter doubtful for a use.

use crate::error::Note;

use super::{Circumstances, Sheet};

pub(super) fn of(sheet: &Sheet, circumstances: &Circumstances) -> Vec<Note> {
    [
        overdue(sheet, circumstances),
        voltage(sheet, circumstances),
        coarse(sheet, circumstances),
        temperature(sheet, circumstances),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn overdue(sheet: &Sheet, circumstances: &Circumstances) -> Option<Note> {
    let Some(certificate) = &sheet.certificate else {
        return Some(Note::new(
            "no-certificate",
            "no calibration certificate is given: the accuracy of the sheet is taken on trust",
        ));
    };
    let today = circumstances.today?;
    if certificate.is_overdue(today) {
        let due = certificate.due.map(|due| due.to_string()).unwrap_or_default();
        return Some(Note::new(
            "certificate-overdue",
            format!(
                "certificate {} was due on {due}, today is {today}: send the meter for calibration \
                 before it sets anything",
                certificate.number
            ),
        ));
    }
    (certificate.date > today).then(|| {
        Note::new(
            "certificate-not-yet",
            format!(
                "certificate {} is dated {}, after today",
                certificate.number, certificate.date
            ),
        )
    })
}

fn voltage(sheet: &Sheet, circumstances: &Circumstances) -> Option<Note> {
    let loop_rms_v = circumstances.loop_rms_v?;
    let Some(category) = &sheet.category else {
        return Some(Note::new(
            "no-voltage-category",
            format!(
                "the sheet names no voltage category; the loop has up to {loop_rms_v:.0} V to earth"
            ),
        ));
    };
    (loop_rms_v > category.working_v).then(|| {
        Note::new(
            "voltage-category",
            format!(
                "the meter is made for {}, the loop has up to {loop_rms_v:.0} V to earth: it may not \
                 be used on the loop's conductors",
                category.words()
            ),
        )
    })
}

fn coarse(sheet: &Sheet, circumstances: &Circumstances) -> Option<Note> {
    let band_width_a = circumstances.band_width_a?;
    let finest_a = sheet.ranges.list.iter().map(|range| range.resolution_a).reduce(f64::min)?;
    (finest_a >= band_width_a).then(|| {
        Note::new(
            "coarse-resolution",
            format!(
                "the finest step of the display, {finest_a} A, is not smaller than the band of \
                 {band_width_a:.3} A: no reading can prove the current in it"
            ),
        )
    })
}

fn temperature(sheet: &Sheet, circumstances: &Circumstances) -> Option<Note> {
    let (temperature, ambient_degc) = (sheet.temperature?, circumstances.ambient_degc?);
    let added_ratio = temperature.added_ratio(ambient_degc);
    (added_ratio > 0.0).then(|| {
        Note::new(
            "outside-temperature",
            format!(
                "at {ambient_degc} °C the meter is outside {} to {} °C: its limit of error grows \
                 by {:.2} % of the reading",
                temperature.low_degc,
                temperature.high_degc,
                100.0 * added_ratio
            ),
        )
    })
}
