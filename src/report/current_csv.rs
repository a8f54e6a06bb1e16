use std::fmt::Write;

use crate::waveform::Waveform;

/// A current as a table: time in seconds, current in amperes, a row a sample.
#[must_use]
pub fn current_csv(waveform: &Waveform) -> String {
    let mut text = String::from("time_s,current_a\n");
    for (place, sample_a) in waveform.samples_a().iter().enumerate() {
        let _ = writeln!(text, "{:.9},{sample_a:.9}", waveform.time_s(place));
    }
    text
}
