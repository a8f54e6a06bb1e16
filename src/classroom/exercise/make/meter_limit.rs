use crate::error::Result;
use crate::meter::{AccuracyLine, Range};

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, begun, step_words};

/// ±(% of reading + digits).
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let step = draw.pick(bank.steps.steps()).clone();
    let (full_scale, resolution, decimals) =
        *draw.pick(&[(10.0, 0.01, 2), (20.0, 0.01, 2), (40.0, 0.01, 2), (8.0, 0.001, 3)]);
    let percent = Printed::new(draw.between(0.5, 3.0), 1, "%");
    let digits = draw.whole(2, 9);
    let shown = Printed::new(step.nominal.a() * draw.between(0.97, 1.03), decimals, "A");
    let line = AccuracyLine::new(0.0, 1e3, percent.value() / 100.0, f64::from(digits));
    let range = Range { full_scale_a: full_scale, resolution_a: resolution };
    let engine = line.limit_a(&range, shown.value());
    let of_reading = percent.value() / 100.0 * shown.value();
    let of_digits = f64::from(digits) * resolution;
    let by_hand = of_reading + of_digits;
    let Some(answer) = number(engine, by_hand, AnswerUnit::Ampere, 0.003, 3) else {
        return Ok(None);
    };
    Ok(Some(Problem {
        story: format!(
            "At {} a true-RMS meter shows a number. Its data sheet states its accuracy as so many \
             percent of the reading and so many digits.",
            step_words(&step)
        ),
        givens: vec![
            given("number shown", &shown),
            given("percent of reading", &percent),
            given("digits", &Printed::new(f64::from(digits), 0, "")),
            given("one digit on this range", &Printed::new(resolution, decimals, "A")),
        ],
        question: "By how many amperes may the number be off, either way?".into(),
        solution: vec![
            "Both parts are added.".into(),
            format!("{percent} of {shown} = {of_reading:.4} A"),
            format!("{digits} digits of {resolution} A = {of_digits:.3} A"),
            format!("together {by_hand:.3} A"),
            format!(
                "The band of this step leaves {:.2} A below and {:.2} A above its nominal.",
                step.nominal.a() - step.band.low_a(),
                step.band.high_a() - step.nominal.a()
            ),
        ],
        ..begun(ProblemKind::MeterLimit, Level::Trainee, draw, answer)
    }))
}
