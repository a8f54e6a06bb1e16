use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::procedure::entry::Output;
use crate::procedure::{Bench, Entry, Procedure, Visit, dangers};
use crate::regulator::Step;
use crate::report::survey_document::program;
use crate::report::{CAUTIONS, Document, NotePart, StepPart};
use crate::uncertainty::decision::GuardBand;

use super::{
    AnswerPart, CorrectionPart, DifferencePart, MeterDoubtPart, ProofPart, VisitCards,
    VisitReadingPart,
};

/// A calibration visit, whole: what was found, set and left, with everything it rests on.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitRecordDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote this document.
    pub program: String,
    /// Number of the visit.
    pub visit: u64,
    /// `open`, `complete` or `broken off`.
    pub state: &'static str,
    /// Title of the description of the day.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator.
    pub regulator: String,
    /// Where it stands.
    pub place: Option<String>,
    /// Serial number on its plate.
    pub regulator_serial: Option<String>,
    /// The circuit it carries.
    pub circuit: Option<String>,
    /// What that lights.
    pub lights: Option<String>,
    /// The meter.
    pub meter: String,
    /// Its serial number.
    pub meter_serial: Option<String>,
    /// Its detector law.
    pub detector: String,
    /// Its certificate.
    pub certificate: Option<CertificatePart>,
    /// The day, at the place.
    pub day: String,
    /// Who did it.
    pub person: String,
    /// Under which conditions.
    pub conditions: ConditionsPart,
    /// Title of the procedure followed.
    pub procedure: String,
    /// Probability with which the true current must lie in its band.
    pub conformance_probability: f64,
    /// The decision rules, in words, simple acceptance first.
    pub rules: Vec<String>,
    /// The steps, the brightest first, with what the meter must show at each.
    pub steps: Vec<VisitStepPart>,
    /// The readings that count.
    pub readings: Vec<VisitReadingPart>,
    /// Shorted against field.
    pub differences: Vec<DifferencePart>,
    /// Where a difference larger than the tolerance is said to mean a fault.
    pub differences_source: &'static str,
    /// Protections that were tried.
    pub proofs: Vec<ProofPart>,
    /// Entries that took the place of others.
    pub corrections: Vec<CorrectionPart>,
    /// What was answered to the procedure's items.
    pub answers: Vec<AnswerPart>,
    /// What was written down beside.
    pub remarks: Vec<RemarkPart>,
    /// How it was closed; `null` while it is open.
    pub closing: Option<ClosingPart>,
    /// Number of its first entry.
    pub first_entry: u64,
    /// Number of its last entry.
    pub last_entry: u64,
    /// When that was written, UTC.
    pub last_at: String,
    /// Hash of its last entry.
    pub last_hash: String,
    /// Number of the last entry of the whole logbook when this was written.
    pub head_entry: Option<u64>,
    /// Hash of that entry: with it a logbook that was cut off can be told.
    pub head_hash: Option<String>,
    /// What of the visit is not as it was written; `null` where its part of the chain holds.
    pub misfit: Option<String>,
    /// Doubts about the meter that touch readings of the visit.
    pub doubts: Vec<MeterDoubtPart>,
    /// Dangers to people the readings tell of, such as a clamp on a loop whose voltage is above its
    /// category; the judgements do not count them.
    pub dangers: Vec<String>,
    /// What has to be said beside the result.
    pub notes: Vec<NotePart>,
    /// Before anyone goes to the regulator.
    pub cautions: Vec<&'static str>,
    /// What the model leaves out.
    pub limits: Vec<&'static str>,
}

/// What the numbers of a record leave out.
const VISIT_LIMITS: [&str; 4] = [
    "The currents behind the judgements are those of the description of the day: a generic model \
     unless its values were fitted, or a capture. A capture of the real current outranks a model.",
    "A true current is an estimate: the number on the display, corrected by the meter's data sheet \
     for the currents the description says are possible. A fault or more lamps out make another one.",
    "The uncertainty counts what data sheet and certificate state. A jaw that is not closed, a second \
     conductor in it, a number read or written wrong are not in it.",
    "Lamp laws are for incandescent filaments near their rated current; halogen lamps at low current \
     do not follow the life law.",
];

/// A meter's certificate.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CertificatePart {
    /// Its number.
    pub number: String,
    /// Day of the calibration.
    pub date: String,
    /// Last day on which it counts.
    pub due: Option<String>,
    /// Expanded uncertainty as a ratio of the reading.
    pub expanded_ratio: f64,
    /// Its coverage factor.
    pub coverage_factor: f64,
    /// Whether it counted no more on the day of the visit.
    pub is_overdue: bool,
}

/// The conditions of a visit.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ConditionsPart {
    /// Temperature at the meter.
    pub ambient_degc: Option<f64>,
    /// Supply voltage, RMS.
    pub supply_rms_v: Option<f64>,
    /// Output tap in use.
    pub tap: Option<String>,
    /// Weather and anything else.
    pub remark: Option<String>,
}

/// A step and what the meter must show at it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitStepPart {
    /// The step.
    #[serde(flatten)]
    pub step: StepPart,
    /// What is said of the meter with the output shorted.
    pub shorted: Option<SetPart>,
    /// What is said of the meter with the field connected.
    pub field: Option<SetPart>,
}

/// What a meter must show.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetPart {
    /// `fit`, `fit-with-care` or `not-fit`.
    pub suitability: &'static str,
    /// The verdict in one sentence.
    pub sentence: String,
    /// Lowest number it may show.
    pub low_a: Option<f64>,
    /// Highest number it may show.
    pub high_a: Option<f64>,
    /// Whether the meter must not be there at all: its voltage category is below the loop's voltage.
    pub is_dangerous: bool,
}

impl SetPart {
    fn of(bench: &Bench, step: u32, output: Output) -> Option<Self> {
        let verdict = bench.verdict(step, output)?;
        Some(Self {
            suitability: verdict.suitability.key(),
            sentence: verdict.sentence(),
            low_a: verdict.set_band.map(|set_band| set_band.low_a),
            high_a: verdict.set_band.map(|set_band| set_band.high_a),
            is_dangerous: verdict.danger().is_some(),
        })
    }
}

impl VisitStepPart {
    /// A step with the verdicts on the meter at it.
    pub(in crate::report) fn of(bench: &Bench, step: &Step) -> Self {
        Self {
            step: step.into(),
            shorted: SetPart::of(bench, step.number, Output::Shorted),
            field: SetPart::of(bench, step.number, Output::Field),
        }
    }
}

/// Something written down beside.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RemarkPart {
    /// Number of the entry.
    pub entry: u64,
    /// When, UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// What was said.
    pub text: String,
}

/// How a visit was closed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ClosingPart {
    /// Whether the procedure was gone through to its end.
    pub complete: bool,
    /// Who answers for it.
    pub person: String,
    /// Next due day.
    pub next_due: Option<String>,
    /// Why it ended before its end, or anything else.
    pub remark: Option<String>,
}

impl VisitRecordDocument {
    /// The record of a visit.
    ///
    /// # Errors
    /// When the texts in its opening cannot be read any more, with the text at fault named.
    pub fn new(visit: &Visit, bench: &Bench, cards: &VisitCards) -> Result<Self> {
        let opening = visit.opening();
        let procedure = Procedure::parse(&opening.procedure);
        let mut notes: Vec<NotePart> = bench.notes().iter().map(NotePart::from).collect();
        if let Err(error) = &procedure {
            notes.push(NotePart {
                code: "procedure-unreadable",
                text: format!(
                    "The text of the procedure in the visit's opening cannot be read: {error}. The \
                     answers are listed by the keys of its items; items nobody answered are not listed."
                ),
            });
        }
        let description = bench.description();
        let steps = bench.steps().steps();
        let numbers: Vec<u32> = steps.iter().map(|step| step.number).collect();
        let entries = visit.entries();
        let last = entries.last().expect("a visit has at least its opening");
        let sheet = bench.instrument().sheet();
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            visit: visit.number(),
            state: visit.state().words(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: opening.regulator.clone(),
            place: cards.regulator.as_ref().map(|card| card.place.clone()),
            regulator_serial: cards.regulator.as_ref().and_then(|card| card.serial.clone()),
            circuit: opening.circuit.clone(),
            lights: cards.circuit.as_ref().map(|card| card.lights.clone()),
            meter: opening.meter.clone(),
            meter_serial: cards.meter.as_ref().and_then(|card| card.serial.clone()),
            detector: sheet.detector.words(),
            certificate: sheet.certificate.as_ref().map(|certificate| CertificatePart {
                number: certificate.number.clone(),
                date: certificate.date.to_string(),
                due: certificate.due.map(|due| due.to_string()),
                expanded_ratio: certificate.expanded_ratio,
                coverage_factor: certificate.coverage_factor,
                is_overdue: certificate.is_overdue(opening.day),
            }),
            day: opening.day.to_string(),
            person: opening.person.clone(),
            conditions: ConditionsPart {
                ambient_degc: opening.conditions.ambient_degc,
                supply_rms_v: opening.conditions.supply_rms_v,
                tap: opening.conditions.tap.clone(),
                remark: opening.conditions.remark.clone(),
            },
            procedure: procedure.as_ref().map_or_else(
                |_| "its text cannot be read".into(),
                |procedure| procedure.title.clone(),
            ),
            conformance_probability: opening.conformance_probability,
            rules: vec![GuardBand::None.words(), GuardBand::Expanded(1.0).words()],
            steps: steps.iter().map(|step| VisitStepPart::of(bench, step)).collect(),
            readings: VisitReadingPart::all(visit, bench, &numbers),
            differences: DifferencePart::all(visit, steps),
            differences_source: DifferencePart::SOURCE,
            proofs: ProofPart::all(visit),
            corrections: CorrectionPart::all(visit),
            answers: procedure.as_ref().map_or_else(
                |_| AnswerPart::by_key(visit),
                |procedure| AnswerPart::all(visit, procedure, &numbers),
            ),
            remarks: remarks(visit),
            closing: visit.closing().map(|closing| ClosingPart {
                complete: closing.complete,
                person: closing.person.clone(),
                next_due: closing.next_due.map(|due| due.to_string()),
                remark: closing.remark.clone(),
            }),
            first_entry: visit.number(),
            last_entry: last.number,
            last_at: last.at.to_string(),
            last_hash: last.hash.clone(),
            head_entry: cards.head.as_ref().map(|(number, _)| *number),
            head_hash: cards.head.as_ref().map(|(_, hash)| hash.clone()),
            misfit: cards.misfit.clone(),
            doubts: MeterDoubtPart::all(visit, &cards.doubts)?,
            dangers: dangers(visit, bench),
            notes,
            cautions: CAUTIONS.to_vec(),
            limits: VISIT_LIMITS.to_vec(),
        })
    }
}

fn remarks(visit: &Visit) -> Vec<RemarkPart> {
    let remarks = visit.counting().filter_map(|logged| match &logged.entry {
        Entry::Remark { text } => Some(RemarkPart {
            entry: logged.number,
            at: logged.at.to_string(),
            by: logged.by.clone(),
            text: text.clone(),
        }),
        _ => None,
    });
    remarks.collect()
}
