use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, FieldSetup, RegulatorSetup};
use crate::error::{Note, Result};
use crate::series::{
    FieldAnswer, FieldPoint, FieldTable, FieldTableRow, LoadComparison, LoadDiagnosis, MeasuredLoad,
};

use super::operating_document::side_key;
use super::parts::placement_key;
use super::survey_document::program;
use super::{Document, LoadPart, LoadTermPart, NotePart};

/// The field of a description: its load calculation, and every step solved with the regulator.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FieldDocument {
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
    /// The load calculation.
    pub load: LoadPart,
    /// Every step, the brightest first, set to its nominal true RMS with the field connected.
    pub steps: Vec<FieldStepPart>,
    /// Why the solved apparent power of the brightest step is not the calculated one; absent when
    /// that step is not held.
    pub solved_minus_calculated: Option<Vec<LoadTermPart>>,
    /// What a reading at the output says; absent when none was given.
    pub measured: Option<MeasuredPart>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
}

/// One step with the field connected.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FieldStepPart {
    /// Number of the step.
    pub step: u32,
    /// Its nominal.
    pub nominal_rms_a: f64,
    /// Whether it can be held.
    pub held: bool,
    /// The end of the range when it cannot: `highest` or `lowest`.
    pub limit: Option<&'static str>,
    /// The current at that end.
    pub limit_a: Option<f64>,
    /// Why there is no answer, when the solver found none.
    pub failure: Option<String>,
    /// What was solved, when the step is held.
    pub solved: Option<FieldPointPart>,
}

/// A solved step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FieldPointPart {
    /// Firing delay after the zero crossing of the capacitor voltage.
    pub delay_deg: f64,
    /// True RMS of the output current.
    pub output_rms_a: f64,
    /// Its largest magnitude.
    pub output_peak_a: f64,
    /// Peak over RMS.
    pub crest_factor: Option<f64>,
    /// RMS over rectified mean.
    pub form_factor: Option<f64>,
    /// Total harmonic distortion of the current.
    pub thd_ratio: Option<f64>,
    /// Error of an average-responding meter.
    pub average_error_ratio: f64,
    /// True RMS of the output voltage.
    pub output_rms_v: f64,
    /// Its largest magnitude.
    pub output_peak_v: f64,
    /// Highest voltage across an open secondary; absent when none is open.
    pub open_secondary_peak_v: Option<f64>,
    /// Apparent power.
    pub apparent_va: f64,
    /// Active power.
    pub active_w: f64,
    /// Active over apparent power.
    pub power_factor: Option<f64>,
    /// √(S² − P²).
    pub non_active_va: f64,
    /// Reactive power of the fundamental; positive when the current lags.
    pub fundamental_reactive_var: f64,
    /// Apparent power that is not fundamental.
    pub distortion_va: f64,
    /// `stable`, `unstable` or `marginal`.
    pub stability: &'static str,
    /// Every group.
    pub groups: Vec<FieldGroupPart>,
}

/// One group at a step.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FieldGroupPart {
    /// Name.
    pub name: String,
    /// Fixtures.
    pub count: u32,
    /// Of them with an open secondary.
    pub open: u32,
    /// Of them with a shorted secondary.
    pub shorted: u32,
    /// Current in the secondary of a lit fixture.
    pub secondary_rms_a: Option<f64>,
    /// Power in the lamps or electronics of a lit fixture.
    pub fixture_w: Option<f64>,
    /// Largest voltage across an open secondary.
    pub open_secondary_peak_v: Option<f64>,
}

/// A reading at the output on the brightest step, and what it says.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MeasuredPart {
    /// Current read, taken as true RMS.
    pub current_rms_a: f64,
    /// Voltage read.
    pub voltage_rms_v: f64,
    /// Their product.
    pub apparent_va: f64,
    /// That over the calculated load.
    pub share_of_calculated_ratio: f64,
    /// That over the rating.
    pub share_of_rating_ratio: f64,
    /// That over what the output tap gives.
    pub share_of_tap_ratio: f64,
    /// Where the current lies against the band of the brightest step.
    pub placement: &'static str,
    /// Stable short name of what it says.
    pub diagnosis: &'static str,
    /// The same in words.
    pub words: &'static str,
    /// Below this share of the calculated load a part of the field counts as bridged (ours).
    pub short_below_ratio: f64,
    /// Above this share something counts as not calculated (ours).
    pub more_above_ratio: f64,
}

impl FieldDocument {
    /// The document of a solved field, and of a reading where there is one.
    ///
    /// # Errors
    /// As [`LoadPart::new`].
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        field: &FieldSetup,
        table: &FieldTable,
        measured: Option<&MeasuredLoad>,
    ) -> Result<Self> {
        let load = LoadPart::new(field, setup)?;
        let top = table.rows.first().and_then(FieldTableRow::point);
        let sum = field.calculation().sum()?;
        let terms = top.map(|point| LoadTermPart::of(&LoadComparison::of(sum, point)));
        let measured = measured.map(|measured| MeasuredPart::new(measured, description, &load));
        let mut notes: Vec<Note> = field.notes.clone();
        let solved = table.rows.iter().filter_map(FieldTableRow::point);
        for note in solved.flat_map(FieldPoint::notes) {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.rating_words(),
            load,
            steps: table.rows.iter().map(FieldStepPart::from).collect(),
            solved_minus_calculated: terms,
            measured,
            notes: notes.iter().map(NotePart::from).collect(),
        })
    }

    /// Whether every step is held and a reading, where there is one, is satisfactory.
    #[must_use]
    pub fn is_satisfactory(&self) -> bool {
        let wanted = LoadDiagnosis::Satisfactory.key();
        self.steps.iter().all(|step| step.held)
            && self.measured.as_ref().is_none_or(|measured| measured.diagnosis == wanted)
    }
}

impl From<&FieldTableRow> for FieldStepPart {
    fn from(row: &FieldTableRow) -> Self {
        let mut part = Self {
            step: row.step.number,
            nominal_rms_a: row.step.nominal.a(),
            held: false,
            limit: None,
            limit_a: None,
            failure: None,
            solved: None,
        };
        match &row.answer {
            Ok(FieldAnswer::Held(point)) => {
                part.held = true;
                part.solved = Some(point.as_ref().into());
            }
            Ok(FieldAnswer::OutOfReach(reach)) => {
                part.limit = Some(side_key(reach.side));
                part.limit_a = Some(reach.limit_a);
            }
            Err(error) => part.failure = Some(error.to_string()),
        }
        part
    }
}

impl From<&FieldPoint> for FieldPointPart {
    fn from(point: &FieldPoint) -> Self {
        let power = &point.power;
        let described = &point.load.field().groups;
        let groups = point.groups.iter().zip(described).map(|(solved, group)| FieldGroupPart {
            name: solved.name.clone(),
            count: group.count,
            open: group.open,
            shorted: group.shorted,
            secondary_rms_a: solved.secondary_rms_a,
            fixture_w: solved.fixture_w,
            open_secondary_peak_v: solved.open_secondary_peak_v,
        });
        Self {
            delay_deg: point.delay_rad().to_degrees(),
            output_rms_a: point.output_rms_a(),
            output_peak_a: point.operating.output.measures().dc.peak_a,
            crest_factor: point.crest_factor(),
            form_factor: point.form_factor(),
            thd_ratio: point.thd_ratio(),
            average_error_ratio: point.average_responding_error_ratio(),
            output_rms_v: power.voltage_rms_v,
            output_peak_v: power.voltage_peak_v,
            open_secondary_peak_v: point.open_secondary_peak_v(),
            apparent_va: power.apparent_va,
            active_w: power.active_w,
            power_factor: power.power_factor,
            non_active_va: power.non_active_va,
            fundamental_reactive_var: power.fundamental_reactive_var,
            distortion_va: power.distortion_va,
            stability: point.operating.solution.stability().words(),
            groups: groups.collect(),
        }
    }
}

impl MeasuredPart {
    fn new(measured: &MeasuredLoad, description: &Description, load: &LoadPart) -> Self {
        let band = &description.steps.top().band;
        let tap_va = load.tap_ratio * load.rated_va;
        let diagnosis = measured.diagnose(band, load.apparent_va, tap_va);
        let apparent_va = measured.apparent_va();
        Self {
            current_rms_a: measured.current().a(),
            voltage_rms_v: measured.voltage_rms_v(),
            apparent_va,
            share_of_calculated_ratio: apparent_va / load.apparent_va,
            share_of_rating_ratio: apparent_va / load.rated_va,
            share_of_tap_ratio: apparent_va / tap_va,
            placement: placement_key(band.place(measured.current())),
            diagnosis: diagnosis.key(),
            words: diagnosis.words(),
            short_below_ratio: MeasuredLoad::SHORT_BELOW_RATIO,
            more_above_ratio: MeasuredLoad::MORE_ABOVE_RATIO,
        }
    }
}
