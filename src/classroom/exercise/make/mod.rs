//! One maker for each kind: draws a case, lets the engine say what is true of it, and keeps it only
//! where the numbers printed lead there.

mod acceptance_limit;
mod average_error;
mod band_sets;
mod crest_factor;
mod crest_limit;
mod fault;
mod guard_band;
mod lamp_effect;
mod lamps_out;
mod landing;
mod load_share;
mod loaded_indication;
mod measured_load;
mod meter_limit;
mod next_due;
mod protection_trip;
mod steps_not_settable;
mod steps_out_of_band;
mod true_current;
mod what_went_wrong;

use crate::error::{Error, Result};
use crate::meter::Detector;
use crate::regulator::{Step, StepTable};
use crate::waveform::{Coupling, TrueRms};

use super::bank::BankPoint;
use super::draw::Draw;
use super::{Bank, Level, Printed, Problem, ProblemKind};

/// Draws before a maker gives up: each keeps one case in a few.
const DRAWS: usize = 400;

/// A problem of a kind; the same dice give the same problem.
///
/// # Errors
/// `Inconsistent` when no case drawn can be kept, otherwise as the engine.
pub(super) fn make(
    bank: &Bank,
    draw: &mut Draw<'_>,
    kind: ProblemKind,
    level: Level,
) -> Result<Problem> {
    use ProblemKind as Kind;
    for _ in 0..DRAWS {
        let problem = match kind {
            Kind::CrestFactor => crest_factor::make(bank, draw),
            Kind::StepsOutOfBand => steps_out_of_band::make(bank, draw),
            Kind::Light => lamp_effect::light(bank, draw),
            Kind::Life => lamp_effect::life(bank, draw),
            Kind::LoadShare => load_share::make(draw, level),
            Kind::MeasuredLoad => measured_load::make(draw),
            Kind::MeterLimit => meter_limit::make(bank, draw),
            Kind::WhatWentWrong => what_went_wrong::make(bank, draw, level),
            Kind::AverageError => average_error::make(bank, draw),
            Kind::TrueCurrent => true_current::make(bank, draw, level),
            Kind::Landing => landing::make(bank, draw, level),
            Kind::CrestLimit => crest_limit::make(bank, draw),
            Kind::LoadedIndication => loaded_indication::make(bank, draw, level),
            Kind::AcceptanceLimit => acceptance_limit::make(bank, draw),
            Kind::BandSets => band_sets::make(bank, draw),
            Kind::StepsNotSettable => steps_not_settable::make(bank, draw),
            Kind::LampsOut => lamps_out::make(bank, draw),
            Kind::ProtectionTrip => protection_trip::make(draw),
            Kind::GuardBand => guard_band::make(bank, draw),
            Kind::NextDue => next_due::make(bank, draw),
        }?;
        if let Some(problem) = problem {
            return Ok(problem);
        }
    }
    Err(Error::inconsistent(format!("no problem of the kind {} could be drawn", kind.key())))
}

/// The law of an average-responding meter behind a current transformer.
const AVERAGE: Detector = Detector::AverageResponding(Coupling::Ac);
/// The law of a peak-responding meter behind a current transformer.
const PEAK: Detector = Detector::PeakResponding(Coupling::Ac);

/// Shown over true for a law on a current.
fn gain(law: Detector, point: &BankPoint) -> f64 {
    law.read(&point.measures).shown_a() / point.measures.dc.rms_a
}

/// "step 3 (4.10 A)".
fn step_words(step: &Step) -> String {
    format!("step {} ({:.2} A)", step.number, step.nominal.a())
}

/// "3.98 to 4.22 A".
fn band_words(step: &Step) -> String {
    format!("{:.2} to {:.2} A", step.band.low_a(), step.band.high_a())
}

/// Where the bands of a table come from; a step whose band has another source is named with it.
fn source_words(steps: &StepTable) -> String {
    let top = &steps.top().source;
    let mut words = top.to_string();
    for step in steps.steps().iter().filter(|step| step.source != *top) {
        let own = &step.source;
        let place = if own.title == top.title { own.place.as_ref() } else { own.title.as_ref() };
        words += &format!("; step {}: {place} ({})", step.number, own.evidence.words());
    }
    words
}

/// Whether an answer that comes of a mistake is far enough from the right one to be told from it.
fn is_told_apart(right: f64, mistaken: f64, tolerance: f64) -> bool {
    (right - mistaken).abs() >= 1.5 * tolerance
}

/// Whether a current keeps its distance from both edges of a band, so that no rounding decides.
fn is_clear_of_edges(step: &Step, current_a: f64, distance_a: f64) -> bool {
    let low_a = (current_a - step.band.low_a()).abs();
    let high_a = (current_a - step.band.high_a()).abs();
    low_a.min(high_a) >= distance_a
}

/// A number as a current that a true-RMS meter showed.
fn amperes(exact_a: f64) -> Printed {
    Printed::new(exact_a, 2, "A")
}

fn stated(value_a: f64) -> TrueRms {
    TrueRms::stated_a(value_a)
}

/// The head every problem begins with.
fn begun(kind: ProblemKind, level: Level, draw: &mut Draw<'_>, answer: super::Answer) -> Problem {
    Problem {
        kind,
        level,
        site: draw.site(),
        story: String::new(),
        givens: Vec::new(),
        table: None,
        question: String::new(),
        answer,
        solution: Vec::new(),
    }
}
