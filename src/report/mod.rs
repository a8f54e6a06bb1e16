//! Results as documents: JSON with stable field names, wording for people, whole output folders.
//!
//! Knows: how results are written down. Refuses to know: how numbers came about, how a screen is
//! laid out.
//!
//! Conventions: a document carries its format number and kind; a field's name carries its unit and
//! kind and never changes within a format number; an unknown is `null` or absent, never 0; percent
//! and degrees exist only here and on the faces; a folder of results appears whole or not at all.

mod budget_document;
mod calibration_document;
mod capture_document;
mod captures_document;
mod cautions;
mod comparison_document;
mod consequences_document;
mod contrast_document;
mod current_csv;
mod decision_part;
mod document;
mod doubt_document;
mod due_document;
mod history_document;
mod field_document;
#[cfg(feature = "study")]
mod estimate_document;
#[cfg(feature = "logbook")]
mod entry_wording;
mod exercise_key_document;
mod exercise_marks_document;
mod exercises_document;
mod explained_part;
mod event_part;
mod fit_document;
mod fitness_document;
mod follow_document;
mod lamps_out_document;
mod lesson_document;
mod load_part;
mod loads_document;
#[cfg(feature = "logbook")]
mod entry_document;
#[cfg(feature = "logbook")]
mod equipment_document;
#[cfg(feature = "logbook")]
mod logbook_copy_document;
#[cfg(feature = "logbook")]
mod recomputation_document;
#[cfg(feature = "logbook")]
mod verification_document;
#[cfg(feature = "logbook")]
mod visit_document;
#[cfg(feature = "logbook")]
mod visits_document;
#[cfg(feature = "logbook")]
mod logbook_parts;
mod meter_reading_document;
mod meters_document;
mod operating_document;
mod output_folder;
#[cfg(feature = "paper")]
pub mod paper;
#[cfg(feature = "study")]
mod parquet_rows;
mod parts;
mod protection_document;
mod recheck_part;
mod record_document;
mod series_files;
mod series_kind;
mod series_table;
mod requirement_document;
mod shape_document;
mod situation_document;
mod situation_pair_document;
mod situation_part;
mod steps_document;
mod survey_document;
#[cfg(feature = "study")]
mod sweep_document;
mod teach_data_document;
mod training_document;
mod transient_document;
mod understood_part;
pub mod visit_record;
#[cfg(feature = "paper")]
pub mod worksheet;
#[cfg(feature = "paper")]
mod worksheet_document;
mod wording;

pub use budget_document::{BudgetDocument, BudgetRowPart, TrialsPart};
pub use calibration_document::{CalibrationDocument, ReadingTakenPart};
pub use capture_document::CaptureDocument;
pub use captures_document::{CaptureRowPart, CapturesDocument, FailedFilePart};
pub use cautions::{CAUTIONS, LIMITS};
pub use comparison_document::{ComparedMeterPart, ComparisonCellPart, ComparisonDocument};
pub use consequences_document::{ConsequencePart, ConsequencesDocument, FoundAtPart};
pub use contrast_document::{ContrastDocument, ContrastPart};
pub use current_csv::current_csv;
pub use decision_part::{DecisionPart, RulePart};
pub use document::{Document, to_json};
pub use doubt_document::{AffectedPart, DoubtDocument};
pub use due_document::DueDocument;
#[cfg(feature = "logbook")]
pub use entry_document::EntryDocument;
#[cfg(feature = "logbook")]
pub use entry_wording::entry_words;
#[cfg(feature = "logbook")]
pub use equipment_document::{
    EquipmentDocument, KnownCertificatePart, KnownCircuitPart, KnownDoubtPart, KnownMeterPart,
    KnownRegulatorPart,
};
#[cfg(feature = "study")]
pub use estimate_document::{
    ConvergencePart, EstimateDocument, IndexPart, OutputEstimatePart, QuantilePart,
    StepEstimatePart, TolerancePart, circuit_words,
};
pub use event_part::EventPart;
pub use exercise_key_document::{
    ExerciseKeyAnswerPart, ExerciseKeyDocument, ExerciseKeySheetPart, RightAnswerPart,
};
pub use exercise_marks_document::{
    ExerciseMarkPart, ExerciseMarksDocument, ExerciseSheetMarksPart,
};
pub use exercises_document::{
    ExerciseQuestionPart, ExerciseSheetPart, ExercisesDocument, GivenPart, GivenTablePart,
};
pub use explained_part::{ExplainedPart, explain, explain_recorded};
pub use field_document::{
    FieldDocument, FieldGroupPart, FieldPointPart, FieldStepPart, MeasuredPart,
};
pub use fit_document::{
    FitCapturePart, FitCombinationPart, FitDocument, FitEstimatePart, FitPredictionPart, FitSetting,
};
pub use fitness_document::{
    CorrectedPart, FitnessDocument, SetBandPart, ShownPart, TermsPart, VerdictPart,
};
pub use follow_document::{FollowBranchPart, FollowDocument, FollowPointPart};
pub use history_document::{DuePart, HistoryDocument, StepHistoryPart, StepPointPart};
pub use lamps_out_document::{
    LampsOutDocument, LampsOutEstimatePart, LampsOutPointPart, LampsOutStepPart,
};
pub use lesson_document::{LessonDocument, LessonPart};
pub use load_part::{CablePart, LoadItemPart, LoadPart, LoadTermPart};
pub use loads_document::{LoadCellPart, LoadsDocument};
#[cfg(feature = "logbook")]
pub use logbook_copy_document::LogbookCopyDocument;
#[cfg(feature = "logbook")]
pub use logbook_parts::{EntryPart, HeadPart, VisitRowPart};
pub use meter_reading_document::{CausePart, LimitsPart, MeterReadingDocument};
pub use meters_document::{ArchetypePart, MetersDocument};
pub use operating_document::{BranchPart, OperatingDocument, OtherPart, SolutionPart};
pub use output_folder::{Existing, OutputFolder};
pub use parts::{
    LifePart, LinePart, MeasuresPart, MeterPart, NotePart, ReadingPart, SourcedPart, StepPart,
    StepResultPart,
};
pub use protection_document::{
    FooledDetectorPart, OpenCircuitPart, PROTECTION_STEPS, ProtectionDocument, SetPointPart,
    SetPointReadingPart, StagePart, TimeLimitPart, TrialPart, TripCurvePart, TripPointPart,
};
pub use recheck_part::{RecheckPart, RecheckRowPart};
#[cfg(feature = "logbook")]
pub use recomputation_document::{DifferingPart, FailedVisitPart, RecomputationDocument};
pub use record_document::{RecordDocument, RecordResult};
pub use requirement_document::RequirementDocument;
pub use series_files::SeriesFiles;
pub use series_kind::SeriesKind;
pub use shape_document::ShapeDocument;
pub use situation_document::{CurrentPart, SituationDocument};
pub use situation_pair_document::{
    MeterDifferencePart, SituationDifferencePart, SituationPairDocument,
};
pub use situation_part::{MeterSeenPart, SituationPart};
pub use steps_document::StepsDocument;
pub use survey_document::SurveyDocument;
#[cfg(feature = "classroom")]
pub(crate) use survey_document::program;
#[cfg(feature = "study")]
pub use sweep_document::SweepDocument;
pub use teach_data_document::{TeachDataDocument, TeachDataFilePart};
pub use training_document::{TrainingDocument, TrainingFigurePart, TrainingParameterPart};
pub use transient_document::{HalfCyclePart, TransientDocument};
pub use understood_part::UnderstoodPart;
#[cfg(feature = "logbook")]
pub use verification_document::{MisfitPart, VerificationDocument};
#[cfg(feature = "logbook")]
pub use visit_document::VisitDocument;
#[cfg(feature = "logbook")]
pub use visits_document::VisitsDocument;
pub use wording::{
    amperes, bare_amperes, bare_milliamperes, bare_percent, bare_share, degrees, least_room, life,
    light, percent, placement, plain_number, plain_percent, probability, ratio_as_exact_percent,
    ratio_as_percent, signed_amperes, signed_watts, volts, watts,
};
#[cfg(feature = "paper")]
pub use worksheet_document::{
    WorksheetDocument, WorksheetItemPart, WorksheetPart, WorksheetStepPart,
};
