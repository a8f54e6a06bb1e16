use crate::error::Result;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{AVERAGE, Draw, PEAK, amperes, begun, gain, step_words};

/// The true current behind a number: by the form factor, or by the crest factor.
#[expect(
    clippy::approx_constant,
    reason = "the factor as it is printed for whoever reckons by hand"
)]
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>, level: Level) -> Result<Option<Problem>> {
    let point = *draw.pick(&bank.all());
    let true_a = point.step.nominal.a() * draw.between(0.965, 1.035);
    let by_peak = level == Level::Engineer;
    let law = if by_peak { PEAK } else { AVERAGE };
    // A meter that is as good as right here would be no problem.
    if (gain(law, point) - 1.0).abs() < 0.008 {
        return Ok(None);
    }
    let shown = amperes(gain(law, point) * true_a);
    let exact = if by_peak { point.crest_factor() } else { point.form_factor() };
    let Some(exact) = exact else { return Ok(None) };
    let shape = Printed::new(exact, 3, "");
    let (sine, by_hand) = if by_peak {
        (1.4142, shown.value() * 1.4142 / shape.value())
    } else {
        (1.1107, shown.value() * shape.value() / 1.1107)
    };
    let Some(answer) = number(true_a, by_hand, AnswerUnit::Ampere, 0.03, 2) else {
        return Ok(None);
    };
    let (meter, name, how) = if by_peak {
        (
            "a meter that holds the peak and is scaled for a sine",
            "crest factor CF",
            format!("I = {shown} x {sine} / {shape} = {by_hand:.3} A"),
        )
    } else {
        (
            "an average-responding clamp, scaled for a sine,",
            "form factor FF",
            format!("I = {shown} x {shape} / {sine} = {by_hand:.3} A"),
        )
    };
    let why = if by_peak {
        "It shows peak / 1.4142, and the peak is CF times the true RMS: I = shown x 1.4142 / CF."
    } else {
        "It shows 1.1107 x average, and the true RMS is FF times the average: I = shown x FF / 1.1107."
    };
    Ok(Some(Problem {
        story: format!(
            "At {} with {} only {meter} is at hand. The shape of the current is known from a capture.",
            step_words(&point.step),
            point.words()
        ),
        givens: vec![given("number shown", &shown), given(name, &shape)],
        question: "What is the true RMS current?".into(),
        solution: vec![
            why.into(),
            how,
            format!(
                "The band of step {} is {:.2} to {:.2} A.",
                point.step.number,
                point.step.band.low_a(),
                point.step.band.high_a()
            ),
        ],
        ..begun(ProblemKind::TrueCurrent, level, draw, answer)
    }))
}
