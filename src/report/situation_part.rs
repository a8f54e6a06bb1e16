use schemars::JsonSchema;
use serde::Serialize;

use crate::situation::{MeterSeen, Seen};

use super::operating_document::side_key;
use super::recheck_part::sense_key;
use super::{MeasuresPart, MeterPart, NotePart, StepPart, VerdictPart};

/// What is seen in one situation at the bench: the numbers of a lesson, an exercise or a page.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SituationPart {
    /// The step.
    pub step: StepPart,
    /// Regulator and load in words.
    pub regulator: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// Load as a share of the rated load resistance; `null` on the field.
    pub load_ratio: Option<f64>,
    /// Share of every group's lamps that are out; `null` when they are as the field counts them.
    pub lamps_out_ratio: Option<f64>,
    /// What the control senses: `true-rms` or `average`.
    pub control_senses: &'static str,
    /// Whether the nominal can be held; otherwise everything below belongs to the nearest current that can.
    pub held: bool,
    /// The end of the range when the nominal is out of reach: `highest` or `lowest`.
    pub limit: Option<&'static str>,
    /// The current at that end, as the control senses it.
    pub limit_a: Option<f64>,
    /// Firing delay after the zero crossing of the capacitor voltage.
    pub delay_deg: f64,
    /// Measures of the output current.
    pub measures: MeasuresPart,
    /// True RMS of the output voltage.
    pub output_rms_v: f64,
    /// Largest magnitude of the output voltage.
    pub output_peak_v: f64,
    /// Apparent power at the output.
    pub output_apparent_va: f64,
    /// Active power at the output.
    pub output_active_w: f64,
    /// Active over apparent power.
    pub output_power_factor: Option<f64>,
    /// Apparent power over the rating of the regulator.
    pub share_of_rating_ratio: f64,
    /// Highest voltage across an open secondary; `null` when none is open.
    pub open_secondary_peak_v: Option<f64>,
    /// `stable`, `unstable` or `marginal`, at a held firing delay.
    pub stability: &'static str,
    /// The meters.
    pub meters: Vec<MeterSeenPart>,
    /// What has to be said beside it.
    pub notes: Vec<NotePart>,
}

/// What one meter shows in a situation.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeterSeenPart {
    /// Its name.
    pub name: String,
    /// What its number stands for.
    pub indication: String,
    /// The number shown; `null` on overload.
    pub shown_a: Option<f64>,
    /// Shown minus true.
    pub error_a: Option<f64>,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
    /// The verdict in words: of the whole instrument when it has a data sheet, of its law otherwise.
    pub verdict: &'static str,
    /// Why the meter must not be on this loop, whatever it shows; `null` where nothing is known against it.
    pub danger: Option<String>,
    /// Why; a danger comes first.
    pub reason: String,
    /// The least it must show for the true current to lie in the band.
    pub must_show_low_a: Option<f64>,
    /// The most it must show for that.
    pub must_show_high_a: Option<f64>,
    /// Its detector law at the step's nominal; `null` when the nominal is not held.
    pub law: Option<MeterPart>,
    /// The whole instrument on this one current; `null` without a data sheet or when the nominal is not held.
    pub instrument: Option<VerdictPart>,
    /// What makes the reading doubtful.
    pub notes: Vec<NotePart>,
}

impl From<&Seen> for SituationPart {
    fn from(seen: &Seen) -> Self {
        Self {
            step: (&seen.step).into(),
            regulator: seen.words.clone(),
            invented: seen.is_invented,
            load_ratio: seen.load_ratio,
            lamps_out_ratio: seen.situation.lamps_out_ratio,
            control_senses: sense_key(seen.sense),
            held: seen.is_held(),
            limit: seen.reach.map(|reach| side_key(reach.side)),
            limit_a: seen.reach.map(|reach| reach.limit_a),
            delay_deg: seen.delay_rad.to_degrees(),
            measures: MeasuresPart::new(&seen.measures, &seen.spectrum),
            output_rms_v: seen.power.voltage_rms_v,
            output_peak_v: seen.power.voltage_peak_v,
            output_apparent_va: seen.power.apparent_va,
            output_active_w: seen.power.active_w,
            output_power_factor: seen.power.power_factor,
            share_of_rating_ratio: seen.share_of_rating_ratio(),
            open_secondary_peak_v: seen.open_secondary_peak_v,
            stability: seen.stability.words(),
            meters: seen.meters.iter().map(|meter| MeterSeenPart::new(seen, meter)).collect(),
            notes: seen.notes.iter().map(NotePart::from).collect(),
        }
    }
}

impl MeterSeenPart {
    fn new(seen: &Seen, meter: &MeterSeen) -> Self {
        let notes = meter.simulated.iter().flat_map(|reading| &reading.notes);
        Self {
            name: meter.meter.name.clone(),
            indication: meter.by_law.indication().words().to_owned(),
            shown_a: meter.shown_a(),
            error_a: meter.error_a(),
            error_ratio: meter.error_ratio(),
            verdict: meter.verdict_words(),
            danger: meter.danger.as_ref().map(|danger| danger.text.clone()),
            reason: meter.reason(&seen.step),
            must_show_low_a: meter.must_show_a().map(|(low_a, _)| low_a),
            must_show_high_a: meter.must_show_a().map(|(_, high_a)| high_a),
            law: meter.judgement.as_ref().map(MeterPart::from),
            instrument: meter.verdict.as_ref().map(VerdictPart::from),
            notes: notes.map(NotePart::from).collect(),
        }
    }
}
