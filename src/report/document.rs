use schemars::JsonSchema;
use serde::Serialize;

use super::{
    BudgetDocument, CaptureDocument, ComparisonDocument, ContrastDocument, FieldDocument,
    FitnessDocument, FollowDocument, LampsOutDocument, LoadsDocument, MeterReadingDocument,
    MetersDocument, OperatingDocument, RequirementDocument, ShapeDocument, StepsDocument,
    SurveyDocument, TransientDocument,
};

/// Every document the program writes as JSON; the field `kind` tells them apart.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Document {
    /// Every meter at every step.
    Survey(Box<SurveyDocument>),
    /// The detector laws on one shape.
    Shape(Box<ShapeDocument>),
    /// What is seen in one situation at the bench.
    Situation(Box<super::SituationDocument>),
    /// Two situations side by side.
    SituationPair(Box<super::SituationPairDocument>),
    /// A recorded current.
    Capture(Box<CaptureDocument>),
    /// A record from its first sample to its last.
    Record(Box<super::RecordDocument>),
    /// Every record of a folder.
    Captures(Box<super::CapturesDocument>),
    /// One operating point of a regulator.
    Operating(Box<OperatingDocument>),
    /// Every step at several loads.
    Loads(Box<LoadsDocument>),
    /// Three kinds of source on one load.
    Contrast(Box<ContrastDocument>),
    /// A run with the control closed.
    Transient(Box<TransientDocument>),
    /// A protection: set-points, readings, times to trip.
    Protection(Box<super::ProtectionDocument>),
    /// Periodic solutions followed as a parameter moves.
    Follow(Box<FollowDocument>),
    /// The load calculation of a field, and every step solved on it.
    Field(Box<FieldDocument>),
    /// Every step as the share of lamps out grows.
    LampsOut(Box<LampsOutDocument>),
    /// Intervals over the tolerances.
    #[cfg(feature = "study")]
    Estimate(Box<super::EstimateDocument>),
    /// A table of many circuits.
    #[cfg(feature = "study")]
    Sweep(Box<super::SweepDocument>),
    /// What one meter with a data sheet shows, and why.
    MeterReading(Box<MeterReadingDocument>),
    /// Real meters against the steps.
    Fitness(Box<FitnessDocument>),
    /// The uncertainty budget of one reading.
    Budget(Box<BudgetDocument>),
    /// What to buy.
    Requirement(Box<RequirementDocument>),
    /// Many meters at many steps of many circuits.
    Comparison(Box<ComparisonDocument>),
    /// What stands on worksheets.
    #[cfg(feature = "paper")]
    Worksheet(Box<super::WorksheetDocument>),
    /// What currents found meant for light and lamps.
    Consequences(Box<super::ConsequencesDocument>),
    /// How the steps of a regulator drift, and when it is due.
    History(Box<super::HistoryDocument>),
    /// When every regulator is due.
    Due(Box<super::DueDocument>),
    /// What past records mean once their meter is found wrong.
    Doubt(Box<super::DoubtDocument>),
    /// Kinds of meter to begin from.
    Meters(Box<MetersDocument>),
    /// A regulator fitted to captures.
    Fit(Box<super::FitDocument>),
    /// A calibration visit, whole.
    VisitRecord(Box<super::visit_record::VisitRecordDocument>),
    /// How far a calibration is.
    Calibration(Box<super::CalibrationDocument>),
    /// One entry of a logbook.
    #[cfg(feature = "logbook")]
    LogbookEntry(Box<super::EntryDocument>),
    /// Visits of a logbook.
    #[cfg(feature = "logbook")]
    LogbookVisits(Box<super::VisitsDocument>),
    /// One visit with all its entries.
    #[cfg(feature = "logbook")]
    LogbookVisit(Box<super::VisitDocument>),
    /// What a logbook knows of regulators, circuits and meters.
    #[cfg(feature = "logbook")]
    LogbookEquipment(Box<super::EquipmentDocument>),
    /// What looking through a whole logbook found.
    #[cfg(feature = "logbook")]
    LogbookVerification(Box<super::VerificationDocument>),
    /// What judging every reading again came to.
    #[cfg(feature = "logbook")]
    LogbookRecomputation(Box<super::RecomputationDocument>),
    /// A logbook written out, taken in or copied.
    #[cfg(feature = "logbook")]
    LogbookCopy(Box<super::LogbookCopyDocument>),
    /// Lessons.
    Lessons(Box<super::LessonDocument>),
    /// Exercise sheets.
    Exercises(Box<super::ExercisesDocument>),
    /// The key to exercise sheets.
    ExerciseKey(Box<super::ExerciseKeyDocument>),
    /// Answers to exercise sheets, marked.
    ExerciseMarks(Box<super::ExerciseMarksDocument>),
    /// Step tables.
    Steps(Box<StepsDocument>),
    /// Figures for teaching.
    Training(Box<super::TrainingDocument>),
    /// Data for teaching.
    TeachData(Box<super::TeachDataDocument>),
}

impl Document {
    /// Format number of every document: rises when a field's name or meaning changes.
    pub const FORMAT: u32 = 1;

    /// The JSON schema of every document.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Document).to_value()
    }
}

/// A document as text, indented, with a newline at its end.
///
/// # Panics
/// Never: every document is made of numbers, text, lists and tables with text keys.
#[must_use]
pub fn to_json(value: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(value)
        .expect("documents hold nothing that JSON cannot express");
    text.push('\n');
    text
}
