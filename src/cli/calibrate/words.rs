//! Entries and readings in words.

use std::fmt::Write;

use crate::procedure::entry::{Confirmation, ReadingTaken};
use crate::procedure::{Entry, LoggedEntry};
use crate::report::probability as probability_words;
use crate::report::{amperes, bare_amperes, ratio_as_percent};

/// An entry in one line.
pub(super) fn entry(logged: &LoggedEntry) -> String {
    let mut text = match &logged.entry {
        Entry::Opening(opening) => format!("visit to {} opened", opening.regulator),
        Entry::Confirmation(confirmation) => confirmed(confirmation),
        Entry::Reading(reading) => format!(
            "step {}, {}, {}: {}",
            reading.step,
            reading.output.words(),
            reading.moment.words(),
            reading.typed
        ),
        Entry::Protection(proof) => {
            let acted = if proof.acted { "acted" } else { "did not act" };
            format!("{} {acted}", proof.protection.words())
        }
        Entry::Remark { text } => format!("note: {text}"),
        Entry::Withdrawal { reason } => reason.clone(),
        Entry::Closing(_) => "visit closed".to_owned(),
        other => other.kind().to_owned(),
    };
    if let Some(old) = logged.replaces {
        let _ = write!(text, " (in place of entry {old})");
    }
    text
}

fn confirmed(confirmation: &Confirmation) -> String {
    let answer = match confirmation.holds {
        Some(true) => "yes",
        Some(false) => "no",
        None => "",
    };
    let words = confirmation.text.as_deref().unwrap_or_default();
    let gap = if answer.is_empty() || words.is_empty() { "" } else { ", " };
    format!("{}: {answer}{gap}{words}", confirmation.item)
}

/// What a reading means, with its numbers.
pub(super) fn meaning(reading: &ReadingTaken) -> String {
    let Some(judgement) = &reading.judgement else { return String::new() };
    let Some(true_rms_a) = judgement.true_rms_a else { return judgement.verdict.clone() };
    let mut text = format!("{} on the display: {}", reading.shown_words(), amperes(true_rms_a));
    if let (Some(half_a), Some(k)) = (judgement.expanded_uncertainty_a, judgement.coverage_factor) {
        let _ = write!(text, " ± {} (k = {k:.2})", bare_amperes(half_a));
    }
    let (low, high) = (bare_amperes(judgement.low_a), bare_amperes(judgement.high_a));
    let _ = write!(text, " true RMS; the band is {low} to {high} A");
    if let Some(probability) = judgement.conformance_probability {
        let _ = write!(text, ", it is inside with {}", probability_words(probability));
    }
    if let Some(light) = judgement.light_ratio {
        let _ = write!(text, "; light {} of nominal", ratio_as_percent(light));
    }
    if let Some(life) = judgement.life_ratio {
        let _ = write!(text, ", lamp life {}", ratio_as_percent(life));
    }
    text.push('.');
    text
}
