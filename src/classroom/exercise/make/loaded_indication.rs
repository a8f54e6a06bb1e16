use crate::error::Result;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{AVERAGE, Draw, PEAK, begun, gain, is_told_apart, step_words};

const TOLERANCE_A: f64 = 0.03;

/// The true current stays, the shape changes: the same meter shows another number.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>, level: Level) -> Result<Option<Problem>> {
    let shorted = *draw.pick(&bank.shorted());
    let loaded: Vec<_> = bank
        .loaded()
        .into_iter()
        .filter(|point| point.step.number == shorted.step.number)
        .collect();
    if loaded.is_empty() {
        return Ok(None);
    }
    let loaded = *draw.pick(&loaded);
    let by_peak = level == Level::Engineer;
    let law = if by_peak { PEAK } else { AVERAGE };
    let left = Printed::new(shorted.step.nominal.a() * draw.between(0.99, 1.01), 3, "A");
    let true_a = left.value() / gain(law, shorted);
    let engine = true_a * gain(law, loaded);
    let shape = |point: &super::BankPoint| {
        let exact = if by_peak { point.crest_factor() } else { point.form_factor() };
        exact.map(|exact| Printed::new(exact, 3, ""))
    };
    let (Some(before), Some(after)) = (shape(shorted), shape(loaded)) else { return Ok(None) };
    let by_hand = if by_peak {
        left.value() * after.value() / before.value()
    } else {
        left.value() * before.value() / after.value()
    };
    // To write the first reading down again must be wrong.
    if !is_told_apart(by_hand, left.value(), TOLERANCE_A) {
        return Ok(None);
    }
    let Some(answer) = number(engine, by_hand, AnswerUnit::Ampere, TOLERANCE_A, 2) else {
        return Ok(None);
    };
    let (kind, letter, how) = if by_peak {
        ("a peak-responding", "crest factor", "shown grows with the crest factor")
    } else {
        ("an average-responding", "form factor", "shown falls as the form factor grows")
    };
    let ratio = if by_peak {
        format!("{left} x {after} / {before}")
    } else {
        format!("{left} x {before} / {after}")
    };
    Ok(Some(Problem {
        story: format!(
            "{} was left with the output shorted. Then the field is connected. The regulator holds \
             the true RMS current where it was, but the shape of the current is another. The same \
             meter, {kind} one, is read again.",
            step_words(&shorted.step).replacen("step", "Step", 1)
        ),
        givens: vec![
            given("shown with the output shorted", &left),
            given(&format!("{letter} with the output shorted"), &before),
            given(&format!("{letter} with the field connected"), &after),
        ],
        question: "What does this meter show with the field connected?".into(),
        solution: vec![
            format!("The true current is the same, and for this meter {how}."),
            format!("shown = {ratio} = {by_hand:.3} A"),
            "Nothing drifted, and nothing is to be adjusted: it is the meter. A true-RMS meter would \
             show the same number twice."
                .into(),
        ],
        ..begun(ProblemKind::LoadedIndication, level, draw, answer)
    }))
}
