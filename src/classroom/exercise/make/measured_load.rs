use crate::error::Result;
use crate::series::MeasuredLoad;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun, stated};

/// Volts times amperes at the output against the rating.
pub(super) fn make(draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let rating_kva = *draw.pick(&[4.0, 7.5, 10.0, 15.0, 20.0, 30.0]);
    let current = amperes(draw.between(6.42, 6.68));
    let share = draw.between(0.35, 0.97);
    let voltage = Printed::new(share * 1e3 * rating_kva / 6.6, 0, "V");
    let measured = MeasuredLoad::new(stated(current.value()), voltage.value())?;
    let engine = measured.apparent_va() / (10.0 * rating_kva);
    let by_hand = current.value() * voltage.value() / (10.0 * rating_kva);
    let Some(answer) = number(engine, by_hand, AnswerUnit::Percent, 0.5, 1) else {
        return Ok(None);
    };
    let va = current.value() * voltage.value();
    Ok(Some(Problem {
        story:
            "On the brightest step, with the field connected, output current and output voltage \
                are read at the same time from the panel's true-RMS instruments."
                .into(),
        givens: vec![
            given("regulator rated", &Printed::new(rating_kva, 1, "kVA")),
            given("true RMS current", &current),
            given("true RMS voltage", &voltage),
        ],
        question: "How much of the regulator's rating is in use, in percent?".into(),
        solution: vec![
            "The apparent power is current times voltage.".into(),
            format!("{current} x {voltage} = {va:.0} VA"),
            format!("{va:.0} VA / {:.0} VA = {by_hand:.1} %", 1e3 * rating_kva),
        ],
        ..begun(ProblemKind::MeasuredLoad, Level::Trainee, draw, answer)
    }))
}
