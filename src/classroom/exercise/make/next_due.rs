use jiff::ToSpan;
use jiff::civil::date;

use crate::error::Result;
use crate::procedure::entry::{Moment, Output};
use crate::procedure::history::{StepHistory, StepPoint};

use super::super::problem::{Given, given, number};
use super::super::{AnswerUnit, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, band_words, begun, step_words};

/// Days in a year on average.
const YEAR_DAYS: f64 = 365.25;

/// Two readings of a step nobody touched between them: when does it reach its edge?
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let step = draw.pick(bank.steps.steps()).clone();
    let nominal_a = step.nominal.a();
    let left = Printed::new(nominal_a * draw.between(0.995, 1.004), 3, "A");
    let left_on = date(2024, 1, 8).saturating_add(i64::from(draw.whole(0, 320)).days());
    let days = i64::from(draw.whole(300, 760));
    let found_on = left_on.saturating_add(days.days());
    let drift = if draw.index(2) == 0 { 1.0 } else { -1.0 } * draw.between(0.002, 0.009);
    let years = days as f64 / YEAR_DAYS;
    let found = Printed::new(left.value() + nominal_a * drift * years, 3, "A");

    let point = |visit, day, moment, true_rms_a| StepPoint {
        visit,
        day,
        moment,
        meter: "standard".into(),
        shown_a: true_rms_a,
        true_rms_a,
        standard_uncertainty_a: 0.0,
        band_a: (step.band.low_a(), step.band.high_a()),
    };
    let points = vec![
        point(1, left_on, Moment::AsLeft, left.value()),
        point(2, found_on, Moment::AsFound, found.value()),
    ];
    let history = StepHistory::from_points(step.number, Output::Shorted, points)?;
    let Some(outlook) = history.as_ref().map(|it| it.outlook(0.95)).transpose()?.flatten() else {
        return Ok(None);
    };
    let Some(leaves_on) = outlook.leaves_on else { return Ok(None) };
    let engine = f64::from((leaves_on - found_on).get_days()) / YEAR_DAYS;
    let yearly_a = (found.value() - left.value()) / years;
    let edge_a = if yearly_a > 0.0 { step.band.high_a() } else { step.band.low_a() };
    let by_hand = (edge_a - found.value()) / yearly_a;
    // Both readings are given to a milliampere: the drift must be far above that.
    let is_clear = (found.value() - left.value()).abs() >= 0.012;
    if !is_clear || !(0.4..=8.0).contains(&by_hand) {
        return Ok(None);
    }
    let Some(answer) = number(engine, by_hand, AnswerUnit::Year, 0.1, 2) else {
        return Ok(None);
    };
    Ok(Some(Problem {
        story: format!(
            "{} was left at a true RMS current and found at another on the next visit; nobody touched \
             it between. Take the drift as steady. Band: {}.",
            step_words(&step).replacen("step", "Step", 1),
            step.source
        ),
        givens: vec![
            Given { name: "band".into(), value: band_words(&step) },
            Given { name: format!("left on {left_on} at"), value: left.to_string() },
            Given { name: format!("found on {found_on} at"), value: found.to_string() },
            given("days between", &Printed::new(days as f64, 0, "")),
        ],
        question: "How many years after the second visit does it leave its band? A year has 365.25 \
                   days."
            .into(),
        solution: vec![
            format!("{days} days are {years:.3} years."),
            format!(
                "Drift: ({} - {}) A / {years:.3} years = {yearly_a:+.4} A a year",
                found.bare(),
                left.bare()
            ),
            format!(
                "Way to the {} edge: {edge_a:.2} A - {found} = {:+.3} A",
                if yearly_a > 0.0 { "upper" } else { "lower" },
                edge_a - found.value()
            ),
            format!("{:+.3} A / {yearly_a:+.4} A a year = {by_hand:.2} years", edge_a - found.value()),
            "That is the best estimate: with the uncertainty of the readings it is doubtful earlier. \
             Come back before then."
                .into(),
        ],
        ..begun(ProblemKind::NextDue, Level::Engineer, draw, answer)
    }))
}
