use crate::assess::instrument::Connection;
use crate::circuit::SenseLaw;
use crate::meter::{Clamp, Detector, Sheet};

use super::entry::Output;
use super::plan::FindingKind;
use super::{Bench, Difference, Visit, signed_percent};

/// What the program knows about a question of the procedure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Whether it speaks against a "yes".
    pub is_against: bool,
    /// What it says, a sentence a line.
    pub lines: Vec<String>,
}

impl Finding {
    /// Looks it up.
    #[must_use]
    pub fn of(bench: &Bench, visit: &Visit, kind: FindingKind) -> Self {
        match kind {
            FindingKind::Certificate => certificate(bench),
            FindingKind::Category => category(bench),
            FindingKind::Verdict => verdict(bench),
            FindingKind::Fitting => {
                let words = Self::fitting(bench.instrument().sheet());
                Self::new(false, format!("{}: {words}", bench.instrument().name()))
            }
            FindingKind::Differences => differences(bench, visit),
        }
    }

    /// How a meter is fitted, and what it is set to, in words.
    #[must_use]
    pub fn fitting(sheet: &Sheet) -> String {
        let how = match &sheet.clamp {
            _ if !sheet.states_accuracy() => "as its manual says",
            Clamp::Direct => "in the circuit, no clamp",
            Clamp::IronCore(_) | Clamp::Hall(_) => "clamp on one conductor, in its middle",
            Clamp::FlexibleCoil(_) => "coil closed around one conductor, in its middle",
        };
        let law = match sheet.detector {
            Detector::TrueRms(_) | Detector::MovingIron => "true RMS",
            Detector::AverageResponding(_) | Detector::RectifierMovingCoil => {
                "average-responding, not true RMS"
            }
            Detector::PeakResponding(_) => "peak-responding, not true RMS",
        };
        format!("{how}; AC A, {law}")
    }

    fn new(is_against: bool, line: String) -> Self {
        Self { is_against, lines: vec![line] }
    }
}

fn certificate(bench: &Bench) -> Finding {
    let name = bench.instrument().name();
    let Some(certificate) = &bench.instrument().sheet().certificate else {
        let line = format!(
            "{name} has no certificate in its data sheet: its accuracy would be taken on trust"
        );
        return Finding::new(true, line);
    };
    let due = certificate.due.map_or("no due day".to_owned(), |due| format!("due {due}"));
    let head = format!("{name}: certificate {} of {}, {due}", certificate.number, certificate.date);
    let against = bench.terms().today.and_then(|today| {
        if certificate.is_overdue(today) {
            Some(format!("{head}: overdue on {today}, it counts no more"))
        } else if certificate.date > today {
            Some(format!("{head}: dated after {today}; is the day right?"))
        } else {
            None
        }
    });
    match against {
        Some(line) => Finding::new(true, line),
        None => Finding::new(false, format!("{head}: it counts today")),
    }
}

fn category(bench: &Bench) -> Finding {
    let name = bench.instrument().name();
    match (&bench.instrument().sheet().category, bench.loop_rms_v()) {
        (None, _) => Finding::new(
            true,
            format!("the data sheet of {name} names no voltage category: look at the meter"),
        ),
        (Some(category), None) => Finding::new(
            false,
            format!(
                "{name} is made for {}; the voltage of this loop is not known here: look at the \
                 regulator's plate",
                category.words()
            ),
        ),
        (Some(category), Some(loop_rms_v)) if loop_rms_v > category.working_v => Finding::new(
            true,
            format!(
                "{name} is made for {}; with the field connected the loop has up to \
                 {loop_rms_v:.0} V to earth",
                category.words()
            ),
        ),
        (Some(category), Some(loop_rms_v)) => Finding::new(
            false,
            format!(
                "{name} is made for {}; with the field connected the loop has up to \
                 {loop_rms_v:.0} V to earth",
                category.words()
            ),
        ),
    }
}

fn verdict(bench: &Bench) -> Finding {
    let lines = bench
        .verdicts()
        .map(|verdict| {
            let connection = match verdict.connection {
                Connection::Shorted => Output::Shorted,
                Connection::Loaded => Output::Field,
            };
            format!("step {}, {}: {}", verdict.step.number, connection.words(), verdict.sentence())
        })
        .collect();
    Finding { is_against: !bench.unfit_steps(Output::Shorted).is_empty(), lines }
}

/// Every step that was read both ways.
fn differences(bench: &Bench, visit: &Visit) -> Finding {
    let line = |difference: Difference<'_>| {
        let step = difference.step;
        let (shorted_a, field_a) = difference.true_rms_a()?;
        let expected = bench
            .expected_change_ratio(step)
            .map_or("; the model of this regulator says nothing about it".to_owned(), |ratio| {
                format!("; the model of this regulator expects {:+.1} %", 100.0 * ratio)
            });
        let mark = if difference.may_be_two_settings() {
            "; read as found only: if it was adjusted after that, this compares two settings"
        } else {
            ""
        };
        Some(format!(
            "step {step}: {shorted_a:.3} A shorted, {field_a:.3} A with the field, true RMS: \
             {}{expected}{mark}",
            signed_percent(field_a / shorted_a - 1.0)
        ))
    };
    let numbers = bench.steps().steps().iter().map(|step| step.number);
    let mut lines: Vec<String> =
        Difference::all(visit, numbers).into_iter().filter_map(line).collect();
    if lines.is_empty() {
        lines.push("no step was read both shorted and with the field".to_owned());
    } else if let Some(regulator) = &bench.description().regulator {
        let sense = match regulator.sense {
            SenseLaw::TrueRms => "the true RMS: it should hold the current whatever the shape",
            SenseLaw::RectifiedMean => {
                "the average: the true RMS moves when the shape changes with the load"
            }
        };
        lines.push(format!("the control is described as sensing {sense}"));
    }
    Finding { is_against: false, lines }
}
