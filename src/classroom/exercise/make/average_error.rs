use crate::error::Result;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{AVERAGE, Draw, amperes, begun, gain, step_words};

/// The form factor of a sine as printed.
const SINE: f64 = 1.1107;

/// e = 1.1107 / FF − 1.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let point = *draw.pick(&bank.all());
    if (gain(AVERAGE, point) - 1.0).abs() < 0.003 {
        return Ok(None);
    }
    // Another current of the same shape has another mean and the same form factor.
    let factor = draw.between(0.97, 1.03);
    let rms = Printed::new(factor * point.measures.dc.rms_a, 3, "A");
    let mean = Printed::new(factor * point.measures.dc.arv_a, 3, "A");
    let engine = 100.0 * (gain(AVERAGE, point) - 1.0);
    let form = rms.value() / mean.value();
    let by_hand = 100.0 * (SINE / form - 1.0);
    let Some(answer) = number(engine, by_hand, AnswerUnit::Percent, 0.2, 2) else {
        return Ok(None);
    };
    let shown = amperes(rms.value() * SINE / form);
    Ok(Some(Problem {
        story: format!(
            "At {} with {} a recorder gives the true RMS and the average rectified value of the \
             output current. An average-responding meter is scaled to be right on a sine, whose form \
             factor is 1.1107.",
            step_words(&point.step),
            point.words()
        ),
        givens: vec![
            given("true RMS current I", &rms),
            given("average rectified value Iarv", &mean),
        ],
        question: "What is the error of an average-responding meter here, in percent and with its \
                   sign (minus: it shows too little)?"
            .into(),
        solution: vec![
            "The form factor is the true RMS over the average rectified value: FF = I / Iarv."
                .into(),
            format!("FF = {rms} / {mean} = {form:.4}"),
            "The meter shows 1.1107 times the average: its error is 1.1107 / FF - 1.".into(),
            format!("{SINE} / {form:.4} - 1 = {by_hand:.2} %: it shows about {shown}"),
        ],
        ..begun(ProblemKind::AverageError, Level::Technician, draw, answer)
    }))
}
