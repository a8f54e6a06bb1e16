use crate::error::Result;
use crate::lamp::LifeChange;

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun, stated, step_words};

/// The currents at which the laws are asked for: within their range, and not at the rating itself.
const OFF_RATIOS: [(f64, f64); 2] = [(0.955, 0.988), (1.008, 1.045)];

/// Light at a current off the nominal of a step.
pub(super) fn light(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let step = draw.pick(bank.steps.steps()).clone();
    let (nominal, found) = currents(draw, step.nominal.a());
    let (rated_a, found_a) = (nominal.value(), found.value());
    let rated = bank.steps.top().nominal;
    let effect = bank.lamp.effect(stated(found_a), step.nominal, rated)?;
    let exact = bank.lamp.light_exponent.value / bank.lamp.current_exponent.value;
    let exponent = Printed::new(exact, 2, "");
    let by_hand = 100.0 * (found_a / rated_a).powf(exponent.value());
    let Some(engine) = effect.light_ratio.filter(|_| effect.light_credible) else {
        return Ok(None);
    };
    let Some(answer) = number(100.0 * engine, by_hand, AnswerUnit::Percent, 1.5, 0) else {
        return Ok(None);
    };
    Ok(Some(Problem {
        story: format!(
            "On a circuit of filament lamps {} is found off its nominal.",
            step_words(&step)
        ),
        givens: vec![
            given("nominal current In", &nominal),
            given("true RMS current found I", &found),
            given("exponent of light in current k", &exponent),
        ],
        question: "How much light do the lamps give, in percent of their light at the nominal?"
            .into(),
        solution: vec![
            "Light follows a power of the current: L = (I / In) ^ k.".into(),
            format!("I / In = {found} / {nominal} = {:.4}", found_a / rated_a),
            format!("L = {:.4} ^ {exponent} = {:.1} %", found_a / rated_a, by_hand),
            format!(
                "{:+.1} % of current became {:+.0} % of light.",
                100.0 * (found_a / rated_a - 1.0),
                by_hand - 100.0
            ),
        ],
        ..begun(ProblemKind::Light, Level::Trainee, draw, answer)
    }))
}

/// Life at a current off the rated one.
pub(super) fn life(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let (rated, found) = currents(draw, bank.steps.top().nominal.a());
    let (rated_a, found_a) = (rated.value(), found.value());
    let effect = bank.lamp.effect(stated(found_a), stated(rated_a), stated(rated_a))?;
    let exact = bank.lamp.life_exponent.value / bank.lamp.current_exponent.value;
    let exponent = Printed::new(exact, 1, "");
    let by_hand = 100.0 * (found_a / rated_a).powf(exponent.value());
    let LifeChange::Ratio(engine) = effect.life else { return Ok(None) };
    let tolerance = if by_hand > 100.0 { 4.0 } else { 2.0 };
    let Some(answer) = number(100.0 * engine, by_hand, AnswerUnit::Percent, tolerance, 0) else {
        return Ok(None);
    };
    Ok(Some(Problem {
        story: "The brightest step of a circuit of filament lamps burns off its nominal, which is \
                the lamps' rated current."
            .into(),
        givens: vec![
            given("rated current Ir", &rated),
            given("true RMS current found I", &found),
            given("exponent of life in current k", &exponent),
        ],
        question: "How long do the lamps live, in percent of their rated life?".into(),
        solution: vec![
            "Life follows a power of the current, with a negative exponent: T = (I / Ir) ^ k."
                .into(),
            format!("I / Ir = {found} / {rated} = {:.4}", found_a / rated_a),
            format!("T = {:.4} ^ {exponent} = {:.1} %", found_a / rated_a, by_hand),
            "The law holds near the rated current of filament lamps only.".into(),
        ],
        ..begun(ProblemKind::Life, Level::Technician, draw, answer)
    }))
}

fn currents(draw: &mut Draw<'_>, reference_a: f64) -> (Printed, Printed) {
    let reference = amperes(reference_a);
    let (low, high) = *draw.pick(&OFF_RATIOS);
    let found = Printed::new(reference.value() * draw.between(low, high), 3, "A");
    (reference, found)
}
