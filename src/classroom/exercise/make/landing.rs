use crate::assess::Judgement;
use crate::error::Result;
use crate::meter::Meter;
use crate::regulator::Placement;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{AVERAGE, Draw, PEAK, begun, step_words};

/// A step is trimmed until a meter that assumes a sine shows the nominal: the true current is then
/// nominal / (1 + e).
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>, level: Level) -> Result<Option<Problem>> {
    let point = *draw.pick(&bank.all());
    let law = if level == Level::Engineer { PEAK } else { AVERAGE };
    let step = &point.step;
    let rated = bank.steps.top().nominal;
    let meter = Meter::ideal("meter", law);
    let judgement = Judgement::new(&meter, step, &point.measures, &bank.lamp, rated)?;
    let Some(trimmed) = judgement.trimmed else { return Ok(None) };
    // The technician stops somewhere near the nominal.
    let stopped = Printed::new(step.nominal.a() * draw.between(0.988, 1.012), 3, "A");
    let engine = trimmed.true_rms.a() * stopped.value() / step.nominal.a();
    let error = Printed::new(100.0 * judgement.error_ratio, 1, "%");
    let by_hand = stopped.value() / (1.0 + error.value() / 100.0);
    let Some(answer) = number(engine, by_hand, AnswerUnit::Ampere, 0.03, 2) else {
        return Ok(None);
    };
    // A meter that is as good as right here would be no problem.
    if judgement.error_ratio.abs() < 0.01 {
        return Ok(None);
    }
    let placement = match step.band.place(super::stated(by_hand)) {
        Placement::Inside => "inside",
        Placement::Low => "below",
        Placement::High => "above",
    };
    let kind = if level == Level::Engineer { "a peak-responding" } else { "an average-responding" };
    Ok(Some(Problem {
        story: format!(
            "With {} a technician turns the adjuster of {} until {kind} meter shows the number \
             below. Nobody noticed that this meter is wrong on this current.",
            point.words(),
            step_words(step)
        ),
        givens: vec![
            given("number shown when left", &stopped),
            given("error of the meter on this current e", &error),
        ],
        question: "At which true RMS current was the step left?".into(),
        solution: vec![
            "The meter shows (1 + e) times the true current: I = shown / (1 + e).".into(),
            format!("I = {stopped} / {:.3} = {by_hand:.3} A", 1.0 + error.value() / 100.0),
            format!(
                "That is {placement} the band of {:.2} to {:.2} A.",
                step.band.low_a(),
                step.band.high_a()
            ),
        ],
        ..begun(ProblemKind::Landing, level, draw, answer)
    }))
}
