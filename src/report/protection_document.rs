use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::protection::{FooledDetector, SetPoint, SetPointReading};
use crate::description::{Description, ProtectionStudy, RegulatorSetup};
use crate::regulator::protection::{
    OpenCircuit, OvercurrentStage, Protection, TimeLimit, TrialRun, TripCause, TripCurve, TripPoint,
};
use crate::waveform::TrueRms;

use super::survey_document::program;
use super::wording::{amperes, life, light, ratio_as_percent};
use super::{CAUTIONS, Document, NotePart};

/// How a protection is tried, in order; the first line is the precondition of all that follow.
pub const PROTECTION_STEPS: [&str; 6] = [
    "Regulator off, locked out, proved dead: short the output at the cutout or with cable of proper \
     rating. An overcurrent may flow through that short only: lamps, transformers and cable of the \
     field would carry it too, and with the output shorted next to no voltage stands on the loop while \
     the current is above its rating.",
    "Fit the clamp while dead, its voltage category checked; take a meter judged fit at the set-point.",
    "Raise the current slowly to the set-point by the maker's procedure, read the true RMS, and see \
     that the protection is running; set it there.",
    "Let it act from each current at which a time is asked for: take the time and the current it acted \
     at. Leave the regulator to cool between trials.",
    "Open circuit only where there is a protection against it: doors closed, nobody near the output, \
     energise once and never again. Flashover may occur.",
    "Take the short off, dead and locked out again; restore and read every step with the field \
     connected.",
];

/// A regulator's protection: set-points, what meters show there, times to trip against their limits.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProtectionDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator in words.
    pub regulator: String,
    /// Rated current, which multiples count from.
    pub rated_rms_a: f64,
    /// The current held before anything happens.
    pub before_rms_a: f64,
    /// What the detector takes for the current: `true-rms`, `average` or `peak`.
    pub detector: &'static str,
    /// The same in words.
    pub detector_words: &'static str,
    /// Length of its window in half cycles.
    pub window_half_cycles: usize,
    /// `at-once` or `runs-back`.
    pub reset: &'static str,
    /// Overcurrent stages, the lowest first.
    pub stages: Vec<StagePart>,
    /// Watch for an open loop.
    pub open_circuit: Option<OpenCircuitPart>,
    /// What meters show at each set-point, output shorted.
    pub set_points: Vec<SetPointPart>,
    /// Where a detector acts that the shape of the current fools.
    pub fooled_detectors: Vec<FooledDetectorPart>,
    /// Trials in time.
    pub trials: Vec<TrialPart>,
    /// Time to trip against multiple of rated current, one curve for each load.
    pub curves: Vec<TripCurvePart>,
    /// Why the output is shorted while an overcurrent is tried.
    pub why_shorted: String,
    /// How it is tried, in order.
    pub procedure: Vec<&'static str>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
    /// Before anyone goes to the regulator.
    pub cautions: Vec<&'static str>,
}

/// The times allowed to a protection.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TimeLimitPart {
    /// Shortest.
    pub shortest_s: Option<f64>,
    /// Longest.
    pub longest_s: Option<f64>,
    /// Where they come from and how well that is known.
    pub source: String,
}

/// An overcurrent stage.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StagePart {
    /// Number, from 1.
    pub stage: usize,
    /// Set-point over rated current.
    pub pickup_ratio: f64,
    /// Set-point.
    pub set_rms_a: f64,
    /// Delay.
    pub delay_s: f64,
    /// Current over rated at which the times are asked for.
    pub tried_ratio: Option<f64>,
    /// The same in amperes.
    pub tried_rms_a: Option<f64>,
    /// The times.
    pub limit: Option<TimeLimitPart>,
}

/// Watch for an open loop.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OpenCircuitPart {
    /// Current over rated below which the loop counts as open.
    pub below_ratio: f64,
    /// The same in amperes.
    pub below_rms_a: f64,
    /// Delay.
    pub delay_s: f64,
    /// The times.
    pub limit: Option<TimeLimitPart>,
}

/// A set-point as it is set and read.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetPointPart {
    /// Stage, from 1.
    pub stage: usize,
    /// Set-point, true RMS.
    pub set_rms_a: f64,
    /// Lower edge of where it has to lie: the upper edge of the brightest step's band.
    pub room_low_a: Option<f64>,
    /// Upper edge: the current at which the times are asked for.
    pub room_high_a: Option<f64>,
    /// The regulator's highest current with the output shorted, where the set-point is above it.
    pub highest_rms_a: Option<f64>,
    /// Meter by meter.
    pub readings: Vec<SetPointReadingPart>,
}

/// What one meter shows at a set-point.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetPointReadingPart {
    /// The meter.
    pub meter: String,
    /// What its number stands for.
    pub indication: &'static str,
    /// Whether its number stands for the true RMS.
    pub is_true_rms: bool,
    /// Its number; absent on overload.
    pub shown_a: Option<f64>,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
    /// How well the true current is known from it.
    pub expanded_uncertainty_a: Option<f64>,
    /// Coverage factor of that uncertainty.
    pub coverage_factor: Option<f64>,
}

/// A detector law that is fooled by the shape of a current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FooledDetectorPart {
    /// Stage, from 1.
    pub stage: usize,
    /// The current in words.
    pub current: String,
    /// `average` or `peak`.
    pub detector: &'static str,
    /// The same in words.
    pub detector_words: &'static str,
    /// Whether it is the one described.
    pub is_described: bool,
    /// Set-point, true RMS.
    pub set_rms_a: f64,
    /// Its number over the true RMS.
    pub gain: f64,
    /// Where it acts when its dial was set to the set-point.
    pub by_dial_rms_a: f64,
    /// How far from the set-point that is; below zero it acts early.
    pub by_dial_ratio: f64,
    /// Where it acts when it was set by trial with the output shorted and a true-RMS meter.
    pub by_trial_rms_a: f64,
    /// How far from the set-point that is.
    pub by_trial_ratio: f64,
}

/// A trial in time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrialPart {
    /// What was done, as a key.
    pub trial: &'static str,
    /// The same in words.
    pub words: String,
    /// The load before, as a share of the rated resistance.
    pub load_ratio: f64,
    /// The multiple of rated current it drives to, where it drives to one.
    pub to_ratio: Option<f64>,
    /// What acted; absent when nothing did.
    pub acted: Option<String>,
    /// From what happened to the trip.
    pub time_to_trip_s: Option<f64>,
    /// How long it was watched.
    pub watched_s: f64,
    /// True RMS of the last cycle over rated current.
    pub reached_ratio: f64,
    /// Highest true RMS of a half cycle over rated current.
    pub highest_half_cycle_ratio: f64,
    /// Largest magnitude of the current.
    pub highest_peak_a: f64,
    /// How long half cycles lay at or above the lowest pick-up.
    pub above_pickup_s: f64,
    /// Peak of the output voltage, where the loop opened.
    pub output_peak_v: Option<f64>,
    /// The limit it is held against.
    pub limit: Option<TimeLimitPart>,
    /// `inside`, `too-early`, `too-late` or `did-not-act`; absent without a limit.
    pub verdict: Option<&'static str>,
    /// The same in words.
    pub verdict_words: Option<&'static str>,
}

/// Time to trip over the multiple of rated current on one load.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TripCurvePart {
    /// The load, as a share of the rated resistance.
    pub load_ratio: f64,
    /// The points.
    pub points: Vec<TripPointPart>,
}

/// One multiple of rated current.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TripPointPart {
    /// The multiple.
    pub ratio: f64,
    /// The detector's number over the true RMS there.
    pub gain: f64,
    /// Time for a current that jumps there at once, in closed form; absent when no stage acts.
    pub steady_s: Option<f64>,
    /// Stage that acts then, from 1.
    pub steady_stage: Option<usize>,
    /// Time from the simulated control fault; absent when no stage acted while it was watched.
    pub simulated_s: Option<f64>,
    /// Stage that acted, from 1.
    pub simulated_stage: Option<usize>,
    /// The multiple the simulated current had come to; absent when the fault does not drive the model
    /// there.
    pub reached_ratio: Option<f64>,
    /// Whether that is within 2 % of the multiple; else the current was still moving, or went
    /// elsewhere.
    pub is_there: bool,
}

impl ProtectionDocument {
    /// The document of a protection tried on a regulator that held a current before.
    #[must_use]
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        before_rms_a: f64,
        study: &ProtectionStudy,
    ) -> Self {
        let rated_a = setup.regulator.values.rated_current_rms_a;
        let protection = &setup.protection;
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.rating_words(),
            rated_rms_a: rated_a,
            before_rms_a,
            detector: protection.law.key(),
            detector_words: protection.law.words(),
            window_half_cycles: protection.window_half_cycles,
            reset: protection.reset.key(),
            stages: stages(protection, rated_a),
            open_circuit: protection.open_circuit.as_ref().map(|open| OpenCircuitPart {
                below_ratio: open.below_ratio,
                below_rms_a: open.below_ratio * rated_a,
                delay_s: open.delay_s,
                limit: limit_of_open(open),
            }),
            set_points: study.set_points.iter().map(set_point).collect(),
            fooled_detectors: study
                .fooled
                .iter()
                .map(|fooled| FooledDetectorPart::new(fooled, protection))
                .collect(),
            trials: study.trials.iter().map(TrialPart::from).collect(),
            curves: study.curves.iter().map(TripCurvePart::from).collect(),
            why_shorted: why_shorted(description, protection, rated_a),
            procedure: PROTECTION_STEPS.to_vec(),
            notes: study.notes.iter().map(NotePart::from).collect(),
            cautions: CAUTIONS.to_vec(),
        }
    }

    /// Where the detector described is fooled most, when set by its dial.
    #[must_use]
    pub fn most_fooled(&self) -> Option<&FooledDetectorPart> {
        let described = self.fooled_detectors.iter().filter(|part| part.is_described);
        described.max_by(|a, b| a.by_dial_ratio.abs().total_cmp(&b.by_dial_ratio.abs()))
    }

    /// Whether every time held against a limit lies inside it.
    #[must_use]
    pub fn is_inside(&self) -> bool {
        self.trials.iter().all(|trial| trial.verdict.is_none_or(|verdict| verdict == "inside"))
    }
}

/// Why the output is shorted while an overcurrent is tried, with what it would do to the lamps.
fn why_shorted(description: &Description, protection: &Protection, rated_a: f64) -> String {
    let reference = TrueRms::stated_a(rated_a);
    let harm = protection.stages.iter().filter_map(|stage| {
        let (ratio, _) = stage.tried.as_ref()?;
        let now = TrueRms::stated_a(ratio * rated_a);
        let effect = description.lamp.effect(now, reference, description.rated()).ok()?;
        Some(format!(
            "{} ({} of rated): light {}, lamp life {}",
            amperes(now.a()),
            ratio_as_percent(*ratio),
            light(effect.light_ratio, effect.light_credible),
            life(effect.life)
        ))
    });
    let harm: Vec<String> = harm.collect();
    let through = if harm.is_empty() {
        String::new()
    } else {
        format!(" On the field it would mean {}.", harm.join("; "))
    };
    format!(
        "The output is shorted before an overcurrent is tried. The current is then meant to rise above \
         its rating, and whatever is on the loop carries it.{through} With the output shorted it flows \
         through the regulator and the short only, and next to no voltage stands on the loop."
    )
}

impl From<&TimeLimit> for TimeLimitPart {
    fn from(limit: &TimeLimit) -> Self {
        Self {
            shortest_s: limit.shortest_s,
            longest_s: limit.longest_s,
            source: limit.source.to_string(),
        }
    }
}

fn limit_of_open(open: &OpenCircuit) -> Option<TimeLimitPart> {
    open.limit.as_ref().map(TimeLimitPart::from)
}

fn stages(protection: &Protection, rated_a: f64) -> Vec<StagePart> {
    let part = |(place, stage): (usize, &OvercurrentStage)| {
        let tried_ratio = stage.tried.as_ref().map(|(ratio, _)| *ratio);
        StagePart {
            stage: place + 1,
            pickup_ratio: stage.pickup_ratio,
            set_rms_a: stage.pickup_ratio * rated_a,
            delay_s: stage.delay_s,
            tried_ratio,
            tried_rms_a: tried_ratio.map(|ratio| ratio * rated_a),
            limit: stage.tried.as_ref().map(|(_, limit)| TimeLimitPart::from(limit)),
        }
    };
    protection.stages.iter().enumerate().map(part).collect()
}

fn set_point((point, readings): &(SetPoint, Vec<SetPointReading>)) -> SetPointPart {
    SetPointPart {
        stage: point.stage + 1,
        set_rms_a: point.set.a(),
        room_low_a: point.room.map(|room| room.low_a()),
        room_high_a: point.room.map(|room| room.high_a()),
        highest_rms_a: point.highest_rms_a,
        readings: readings.iter().map(SetPointReadingPart::from).collect(),
    }
}

impl From<&SetPointReading> for SetPointReadingPart {
    fn from(reading: &SetPointReading) -> Self {
        let expanded = reading.meaning.map(|meaning| meaning.expanded);
        Self {
            meter: reading.meter.clone(),
            indication: reading.indication.words(),
            is_true_rms: reading.indication == crate::meter::Indication::TrueRms,
            shown_a: reading.shown_a,
            error_ratio: reading.error_ratio,
            expanded_uncertainty_a: expanded.map(|expanded| expanded.half_width),
            coverage_factor: expanded.map(|expanded| expanded.coverage_factor),
        }
    }
}

impl FooledDetectorPart {
    fn new(fooled: &FooledDetector, protection: &Protection) -> Self {
        let acting = &fooled.acting;
        Self {
            stage: fooled.stage + 1,
            current: fooled.current.clone(),
            detector: acting.law.key(),
            detector_words: acting.law.words(),
            is_described: acting.law == protection.law,
            set_rms_a: fooled.set_rms_a,
            gain: acting.gain,
            by_dial_rms_a: acting.by_dial_rms_a,
            by_dial_ratio: fooled.by_dial_ratio(),
            by_trial_rms_a: acting.by_trial_rms_a,
            by_trial_ratio: fooled.by_trial_ratio(),
        }
    }
}

impl From<&TrialRun> for TrialPart {
    fn from(run: &TrialRun) -> Self {
        let verdict = run.verdict();
        let placement = verdict.as_ref().map(|verdict| verdict.placement);
        Self {
            trial: run.trial.key(),
            words: run.trial.words(),
            load_ratio: run.load_ratio,
            to_ratio: run.trial.to_ratio(),
            acted: run.trip.map(|trip| trip.cause.words()),
            time_to_trip_s: run.time_to_trip_s(),
            watched_s: run.watched_s,
            reached_ratio: run.reached_ratio,
            highest_half_cycle_ratio: run.highest_half_cycle_ratio,
            highest_peak_a: run.highest_peak_a,
            above_pickup_s: run.above_pickup_s,
            output_peak_v: run.output_peak_v,
            limit: verdict.as_ref().map(|verdict| TimeLimitPart::from(&verdict.limit)),
            verdict: placement.map(|placement| placement.key()),
            verdict_words: placement.map(|placement| placement.words()),
        }
    }
}

impl From<&TripCurve> for TripCurvePart {
    fn from(curve: &TripCurve) -> Self {
        Self {
            load_ratio: curve.load_ratio,
            points: curve.points.iter().map(TripPointPart::from).collect(),
        }
    }
}

impl From<&TripPoint> for TripPointPart {
    fn from(point: &TripPoint) -> Self {
        let stage = |acted: Option<(TripCause, f64)>| match acted {
            Some((TripCause::Stage(place), _)) => Some(place + 1),
            _ => None,
        };
        let time_s = |acted: Option<(TripCause, f64)>| acted.map(|(_, time_s)| time_s);
        Self {
            ratio: point.ratio,
            gain: point.gain,
            steady_s: time_s(point.steady),
            steady_stage: stage(point.steady),
            simulated_s: time_s(point.simulated),
            simulated_stage: stage(point.simulated),
            reached_ratio: point.reached_ratio,
            is_there: point.is_there(),
        }
    }
}
