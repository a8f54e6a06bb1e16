//! A requirement in words that could stand in a purchase order.

use crate::waveform::Coupling;

use super::Requirement;

/// Working voltage that ordinary hand-held clamps reach; from memory, not verified.
const ORDINARY_CLAMP_V: f64 = 1000.0;

pub(super) fn lines(requirement: &Requirement) -> Vec<String> {
    let percent = |ratio: f64| 100.0 * ratio;
    let mut lines = vec![
        detector(requirement),
        format!(
            "Accuracy on a sine at {:.0} Hz, from {} A up to {} A: ±({} % of reading + {} counts) or \
             better{}.",
            requirement.frequency_hz,
            requirement.lowest_a,
            requirement.range_a,
            percent(requirement.accuracy_ratio),
            requirement.accuracy_counts,
            if requirement.clamp.is_none() { ", clamp included" } else { "" },
        ),
        format!(
            "A range of {} A with a resolution of {} A or finer.",
            requirement.range_a, requirement.resolution_a
        ),
        format!(
            "Crest factor {} or more at the full scale of that range: peaks of {:.1} A occur, crest \
             factors up to {:.2}.",
            requirement.crest_factor_at_range,
            requirement.highest_peak_a,
            requirement.highest_crest_factor
        ),
        format!("Bandwidth (-3 dB) {} or more.", frequency(requirement.bandwidth_hz)),
    ];
    lines.extend(requirement.clamp.map(|(class, rated_a)| {
        format!(
            "Current clamp of class {} or better, rated current at most {rated_a} A: the class must \
             hold at {} A, which is {:.0} % of it.",
            class.key(),
            requirement.lowest_a,
            percent(requirement.lowest_a / rated_a)
        )
    }));
    if requirement.position_ratio > 0.0 {
        lines.push(format!(
            "Error by position of the conductor in the clamp: ±{} % or less.",
            percent(requirement.position_ratio)
        ));
    } else {
        lines.push("Error by position of the conductor: within the accuracy above.".to_owned());
    }
    lines.extend(requirement.category.map(|category| {
        let mut line = format!("Measurement category and voltage: {} or higher.", category.words());
        if category.working_v > ORDINARY_CLAMP_V {
            line.push_str(
                " Ordinary hand-held clamps reach 600 to 1000 V (from memory, not verified): ask for \
                 proof of the rating, or measure where the voltage is lower.",
            );
        }
        line
    }));
    if requirement.category.is_none() {
        lines.push(
            "Measurement category and voltage: to be set, the loop's voltage is not known."
                .to_owned(),
        );
    }
    lines.push(format!(
        "Calibration certificate with an expanded uncertainty (k = 2) of {:.3} % of reading or less.",
        percent(requirement.certificate_ratio)
    ));
    lines
}

fn detector(requirement: &Requirement) -> String {
    let coupling = match requirement.sheet.detector.coupling() {
        Coupling::Ac => "AC-coupled is enough",
        Coupling::Dc => "the mean of the current included",
    };
    format!(
        "Measures true RMS, {coupling}, over whole periods of the mains; average- or peak-responding \
         meters do not do."
    )
}

fn frequency(hz: f64) -> String {
    if hz < 1e3 { format!("{hz} Hz") } else { format!("{} kHz", hz / 1e3) }
}
