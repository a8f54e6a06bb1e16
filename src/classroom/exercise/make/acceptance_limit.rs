use crate::error::Result;
use crate::uncertainty::Expanded;
use crate::uncertainty::decision::{Acceptance, GuardBand, Limits};

use super::super::problem::{Given, given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, band_words, begun, step_words};

/// Band edge less the expanded uncertainty.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let steps = *draw.pick(&[&bank.steps, &bank.other_steps]);
    let step = draw.pick(steps.steps()).clone();
    let expanded = Printed::new(step.nominal.a() * draw.between(0.003, 0.013), 3, "A");
    let band = Limits::between(step.band.low_a(), step.band.high_a())?;
    let stated = Expanded::stated(expanded.value(), 2.0, 0.95)?;
    let rule = Acceptance::new(band, GuardBand::Expanded(1.0), &stated)?;
    let Some(limits) = rule.limits() else { return Ok(None) };
    let highest = draw.index(2) == 0;
    let (engine, by_hand) = if highest {
        (limits.upper(), step.band.high_a() - expanded.value())
    } else {
        (limits.lower(), step.band.low_a() + expanded.value())
    };
    let Some(engine) = engine else { return Ok(None) };
    let Some(answer) = number(engine, by_hand, AnswerUnit::Ampere, 0.004, 3) else {
        return Ok(None);
    };
    let (word, how) = if highest {
        ("highest", format!("{:.2} A - {expanded} = {by_hand:.3} A", step.band.high_a()))
    } else {
        ("lowest", format!("{:.2} A + {expanded} = {by_hand:.3} A", step.band.low_a()))
    };
    Ok(Some(Problem {
        story: format!(
            "{} is accepted only if the reading stays inside its band by the whole expanded \
             uncertainty. Band: {}.",
            step_words(&step).replacen("step", "Step", 1),
            step.source
        ),
        givens: vec![
            Given { name: "band".into(), value: band_words(&step) },
            given("expanded uncertainty U of a reading (k = 2)", &expanded),
        ],
        question: format!("What is the {word} reading that may be accepted?"),
        solution: vec![
            "The guard band is U: the acceptance limits lie inside the band by U.".into(),
            how,
        ],
        ..begun(ProblemKind::AcceptanceLimit, Level::Technician, draw, answer)
    }))
}
