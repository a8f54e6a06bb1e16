use crate::error::Result;
use crate::uncertainty::Expanded;
use crate::uncertainty::decision::{Acceptance, GuardBand, Limits, Outcome};

use super::super::problem::{Given, given};
use super::super::{Answer, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, band_words, begun, step_words};

const OUTCOMES: [Outcome; 4] =
    [Outcome::Pass, Outcome::ConditionalPass, Outcome::ConditionalFail, Outcome::Fail];

/// Pass, conditional pass, conditional fail, fail.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let steps = *draw.pick(&[&bank.steps, &bank.other_steps]);
    let step = draw.pick(steps.steps()).clone();
    // Each of the four statements is wanted as often as another.
    let wanted = draw.index(4);
    let expanded = Printed::new(step.nominal.a() * draw.between(0.005, 0.022), 3, "A");
    let read = Printed::new(step.nominal.a() * draw.between(0.94, 1.06), 3, "A");
    let (low_a, high_a) = (step.band.low_a(), step.band.high_a());
    let stated = Expanded::stated(expanded.value(), 2.0, 0.95)?;
    let rule = Acceptance::new(Limits::between(low_a, high_a)?, GuardBand::Expanded(1.0), &stated)?;
    let outcome = rule.outcome(read.value());
    let edges = [0.0, expanded.value(), -expanded.value()];
    let is_plain = edges.iter().all(|w| {
        (read.value() - (low_a + w)).abs() >= 0.004 && (read.value() - (high_a - w)).abs() >= 0.004
    });
    if OUTCOMES[wanted] != outcome || !is_plain {
        return Ok(None);
    }
    let options = vec![
        "pass: inside the band by at least U".to_owned(),
        "conditional pass: inside the band, but by less than U".to_owned(),
        "conditional fail: outside the band, but by no more than U".to_owned(),
        "fail: outside the band by more than U".to_owned(),
    ];
    let (accept_low, accept_high) = (low_a + expanded.value(), high_a - expanded.value());
    let accept = if accept_low <= accept_high {
        format!("Accepted without condition: {accept_low:.3} to {accept_high:.3} A.")
    } else {
        format!(
            "U is more than half of the band ({:.3} A): no reading is accepted without condition.",
            0.5 * (high_a - low_a)
        )
    };
    let answer = Answer::Choice { options, right: wanted };
    Ok(Some(Problem {
        story: format!(
            "{} is read, the reading corrected by the meter's certificate. The decision rule is a \
             guard band as wide as the expanded uncertainty. Band: {}.",
            step_words(&step).replacen("step", "Step", 1),
            step.source
        ),
        givens: vec![
            Given { name: "band".into(), value: band_words(&step) },
            given("corrected reading", &read),
            given("expanded uncertainty U (k = 2)", &expanded),
        ],
        question: "What is to be stated about this step?".into(),
        solution: vec![
            accept,
            format!("Inside the band: {low_a:.2} to {high_a:.2} A."),
            format!(
                "Within U of the band: {:.3} to {:.3} A.",
                low_a - expanded.value(),
                high_a + expanded.value()
            ),
            format!("{read}: {}.", outcome.words()),
        ],
        ..begun(ProblemKind::GuardBand, Level::Engineer, draw, answer)
    }))
}
