use schemars::JsonSchema;
use serde::Serialize;

use crate::capture::{Event, EventKind};

/// Something that happened in a record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EventPart {
    /// Stable short name of its kind.
    pub kind: &'static str,
    /// When it began, in seconds after the first sample.
    pub start_s: f64,
    /// When it was over; null when that is not known.
    pub end_s: Option<f64>,
    /// Whether it says that something in the record cannot be trusted.
    pub doubts_record: bool,
    /// RMS before, for a change of the current.
    pub from_rms_a: Option<f64>,
    /// RMS after, for a change of the current.
    pub to_rms_a: Option<f64>,
    /// RMS farthest from the level, while it lasted.
    pub extreme_rms_a: Option<f64>,
    /// Peak, for an inrush; mean, for a direct current.
    pub value_a: Option<f64>,
    /// The whole in one sentence.
    pub text: String,
}

impl From<&Event> for EventPart {
    fn from(event: &Event) -> Self {
        let (from_rms_a, to_rms_a, extreme_rms_a, value_a) = match event.kind {
            EventKind::SwitchedOn { to_rms_a } => (None, Some(to_rms_a), None, None),
            EventKind::SwitchedOff { from_rms_a } => (Some(from_rms_a), None, None, None),
            EventKind::StepChange { from_rms_a, to_rms_a } => {
                (Some(from_rms_a), Some(to_rms_a), None, None)
            }
            EventKind::Inrush { peak_a, most_rms_a, settled_rms_a } => {
                (None, Some(settled_rms_a), Some(most_rms_a), Some(peak_a))
            }
            EventKind::Dropout { from_rms_a, least_rms_a } => {
                (Some(from_rms_a), None, Some(least_rms_a), None)
            }
            EventKind::Excursion { level_rms_a, extreme_rms_a } => {
                (Some(level_rms_a), Some(level_rms_a), Some(extreme_rms_a), None)
            }
            EventKind::DirectCurrent { mean_a, .. } => (None, None, None, Some(mean_a)),
            _ => (None, None, None, None),
        };
        Self {
            kind: event.kind.key(),
            start_s: event.start_s,
            end_s: event.end_s,
            doubts_record: event.kind.doubts_record(),
            from_rms_a,
            to_rms_a,
            extreme_rms_a,
            value_a,
            text: words(event),
        }
    }
}

/// An event in one sentence, without when it began.
fn words(event: &Event) -> String {
    let lasting = event.duration_s().map_or(String::new(), |s| format!(", {s:.3} s"));
    match event.kind {
        EventKind::SwitchedOn { to_rms_a } => format!("switched on, {to_rms_a:.3} A"),
        EventKind::SwitchedOff { from_rms_a } => format!("switched off from {from_rms_a:.3} A"),
        EventKind::StepChange { from_rms_a, to_rms_a } => {
            let cut = if event.end_s.is_none() { ", not settled when the record ends" } else { "" };
            format!("from {from_rms_a:.3} A to {to_rms_a:.3} A{cut}")
        }
        EventKind::Inrush { peak_a, most_rms_a, settled_rms_a } => format!(
            "inrush of {peak_a:.2} A peak, {most_rms_a:.3} A RMS in one cycle, before {settled_rms_a:.3} A{lasting}"
        ),
        EventKind::Dropout { from_rms_a, least_rms_a } => {
            format!("dropout from {from_rms_a:.3} A, least {least_rms_a:.3} A{lasting}")
        }
        EventKind::Excursion { level_rms_a, extreme_rms_a } => {
            format!(
                "{extreme_rms_a:.3} A for a while, {level_rms_a:.3} A before and after{lasting}"
            )
        }
        EventKind::Clipping { high_rail_a, low_rail_a, periods } => {
            let rails: Vec<String> = [high_rail_a, low_rail_a]
                .into_iter()
                .flatten()
                .map(|rail_a| format!("{rail_a:.3} A"))
                .collect();
            format!(
                "clipped at {} in {periods} periods: the converter's rails, or a flat top without noise",
                rails.join(" and ")
            )
        }
        EventKind::RateTooLow { samples_per_period, peak_loss_ratio } => format!(
            "{samples_per_period:.1} samples in a period; the peak falls by {:.1} % without every other one: the crest factor cannot be trusted",
            100.0 * peak_loss_ratio
        ),
        EventKind::AliasingSuspected { line_hz, order, ratio } => format!(
            "a line at {line_hz:.1} Hz of {:.2} % where harmonic {order} would be folded to: aliasing suspected",
            100.0 * ratio
        ),
        EventKind::DirectCurrent { mean_a, ratio } => format!(
            "a mean of {mean_a:.4} A, {:.2} % of the RMS: the zero of a Hall clamp, unless direct current flows",
            100.0 * ratio
        ),
        EventKind::Gap { samples } => format!("{samples} samples missing"),
    }
}
