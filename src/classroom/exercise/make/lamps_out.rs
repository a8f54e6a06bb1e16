use crate::error::Result;
use crate::series::{LampsOutEstimate, MeasuredShape, ShapeQuantity};

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Bank, GivenTable, Level, Printed, Problem, ProblemKind};
use super::{Draw, begun, step_words};

/// A table of crest factors over the share of lamps out, read backwards.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let sweep = draw.pick(&bank.sweeps);
    let course: Option<Vec<(f64, f64)>> = sweep
        .points
        .iter()
        .map(|point| point.shape.map(|shape| (point.open_ratio, shape.crest_factor)))
        .collect();
    let Some(course) = course else { return Ok(None) };
    // Every second solved share is printed; the case lies between all that were solved.
    let printed: Vec<(f64, Printed)> =
        course.iter().step_by(2).map(|(s, crest)| (*s, Printed::new(*crest, 3, ""))).collect();
    let at = draw.index(course.len() - 1);
    let along = draw.between(0.0, 1.0);
    let ((s0, c0), (s1, c1)) = (course[at], course[at + 1]);
    let (share, crest) = (s0 + along * (s1 - s0), c0 + along * (c1 - c0));
    let measured = Printed::new(crest, 3, "");
    let between = |pair: &[(f64, Printed)]| {
        let (low, high) = (pair[0].1.value(), pair[1].1.value());
        (low..high).contains(&measured.value()).then(|| {
            let part = (measured.value() - low) / (high - low);
            pair[0].0 + part * (pair[1].0 - pair[0].0)
        })
    };
    // One stretch only, and steep enough that the third decimal does not decide.
    let mut found = printed.windows(2).filter_map(between);
    let (Some(by_hand), None) = (found.next(), found.next()) else { return Ok(None) };
    let is_rising = printed.windows(2).all(|pair| pair[1].1.value() - pair[0].1.value() > 0.008);
    if !is_rising {
        return Ok(None);
    }
    let shape = MeasuredShape {
        quantity: ShapeQuantity::CrestFactor,
        value: measured.value(),
        standard_uncertainty: 0.002,
    };
    let engine = LampsOutEstimate::of(sweep, &shape)?.value.most_likely_ratio;
    let tolerance = 1.5;
    let is_there = 100.0 * (share - by_hand).abs() <= 0.5 * tolerance;
    let answer = number(100.0 * engine, 100.0 * by_hand, AnswerUnit::Percent, tolerance, 1);
    let Some(answer) = answer.filter(|_| is_there) else { return Ok(None) };
    let lamps = f64::from(bank.fixtures) * by_hand;
    let rows = printed
        .iter()
        .map(|(s, crest)| vec![format!("{:.0}", 100.0 * s), crest.bare().to_owned()])
        .collect();
    let pair = printed
        .windows(2)
        .find(|pair| between(pair).is_some())
        .expect("the crest factor lies between two printed ones");
    Ok(Some(Problem {
        story: format!(
            "For a circuit of {} fixtures with filament lamps the crest factor of the output current \
             at {} was calculated for several shares of lamps out. Now it is measured.",
            bank.fixtures,
            step_words(&sweep.step)
        ),
        givens: vec![given("crest factor measured", &measured)],
        table: Some(GivenTable {
            caption: "Calculated".into(),
            columns: ["lamps out %", "crest factor"].map(str::to_owned).to_vec(),
            rows,
        }),
        question:
            "What share of the lamps is out, in percent? Take straight lines between the rows."
                .into(),
        solution: vec![
            format!(
                "{measured} lies between {} ({:.0} %) and {} ({:.0} %).",
                pair[0].1,
                100.0 * pair[0].0,
                pair[1].1,
                100.0 * pair[1].0
            ),
            format!(
                "({measured} - {}) / ({} - {}) of the way: {:.1} %",
                pair[0].1,
                pair[1].1,
                pair[0].1,
                100.0 * by_hand
            ),
            format!(
                "Of {} fixtures that is about {lamps:.0}. It stands and falls with the calculation: go \
                 and count.",
                bank.fixtures
            ),
        ],
        ..begun(ProblemKind::LampsOut, Level::Engineer, draw, answer)
    }))
}
