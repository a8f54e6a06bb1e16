use crate::error::Result;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun, is_told_apart, step_words};

const TOLERANCE: f64 = 0.02;

/// Crest factor = peak / RMS.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let point = *draw.pick(&bank.all());
    let factor = draw.between(0.97, 1.03);
    let rms = amperes(factor * point.measures.dc.rms_a);
    let peak = amperes(factor * point.measures.dc.peak_a);
    let Some(engine) = point.crest_factor() else { return Ok(None) };
    let by_hand = peak.value() / rms.value();
    // A peak and a current so printed do not tell nearer shapes from a sine.
    if !is_told_apart(by_hand, std::f64::consts::SQRT_2, TOLERANCE) {
        return Ok(None);
    }
    let Some(answer) = number(engine, by_hand, AnswerUnit::Plain, TOLERANCE, 2) else {
        return Ok(None);
    };
    let shown = Printed::new(by_hand, 2, "");
    Ok(Some(Problem {
        story: format!(
            "At {} with {} an oscilloscope shows one period of the output current.",
            step_words(&point.step),
            point.words()
        ),
        givens: vec![given("true RMS current I", &rms), given("largest peak Ip", &peak)],
        question: "What is the crest factor of this current?".into(),
        solution: vec![
            "The crest factor is the peak over the true RMS: CF = Ip / I.".into(),
            format!("CF = {peak} / {rms} = {shown}"),
            format!(
                "A sine has 1.41: this current is {} than a sine.",
                if by_hand > std::f64::consts::SQRT_2 { "more peaked" } else { "flatter" }
            ),
        ],
        ..begun(ProblemKind::CrestFactor, Level::Trainee, draw, answer)
    }))
}
