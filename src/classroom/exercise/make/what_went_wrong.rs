use crate::error::Result;

use super::super::{Answer, Bank, GivenTable, Level, Printed, Problem, ProblemKind};
use super::fault::{Fault, Seen};
use super::{Draw, amperes, begun};

/// A wrong statement must miss what was shown by this much somewhere, over the reference.
const PLAIN_MISS_RATIO: f64 = 0.012;
/// The right one may miss by no more than the digits of both meters.
const FIT_RATIO: f64 = 0.004;
/// Statements on offer.
const OPTIONS: usize = 4;

/// A meter beside a reference at every step: which of several faults does the table show?
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>, level: Level) -> Result<Option<Problem>> {
    let place = *draw.pick(&bank.all());
    let points = bank.at_load_of(place);
    let top_peak_a = points.first().map_or(0.0, |point| point.measures.dc.peak_a);
    let clip_a = Printed::new(top_peak_a * draw.between(0.55, 0.93), 1, "A").value();
    let mut faults =
        vec![Fault::TwoTurns, Fault::Tenth, Fault::ZeroOffset, Fault::Gain, Fault::Hold];
    if level > Level::Trainee {
        faults = vec![Fault::Average, Fault::Peak, Fault::ZeroOffset, Fault::Gain, Fault::TwoTurns];
        faults.push(Fault::Clipped(clip_a));
    }
    if level > Level::Technician {
        faults.retain(|fault| *fault != Fault::TwoTurns);
    }
    draw.shuffle(&mut faults);
    let right = faults[0];

    let read: Vec<Printed> = points
        .iter()
        .map(|point| amperes(point.step.nominal.a() * draw.between(0.985, 1.015)))
        .collect();
    let seen: Vec<Seen<'_>> = points
        .iter()
        .zip(&read)
        .map(|(point, read)| Seen { point, true_a: read.value() })
        .collect();
    let sign = if draw.index(2) == 0 { 1.0 } else { -1.0 };
    let free = match right {
        Fault::ZeroOffset => sign * draw.between(0.09, 0.30),
        Fault::Gain => 1.0 + sign * draw.between(0.02, 0.06),
        _ => 0.0,
    };
    let Some(exact) = right.shown_a(&seen, free)? else { return Ok(None) };
    let shown: Vec<Printed> = exact.iter().map(|a| amperes(*a)).collect();
    let shown_a: Vec<f64> = shown.iter().map(Printed::value).collect();
    let moves = shown_a
        .iter()
        .zip(&seen)
        .any(|(shown, seen)| (shown / seen.true_a - 1.0).abs() >= PLAIN_MISS_RATIO);
    if !moves || right.miss_ratio(&seen, &shown_a)? > FIT_RATIO {
        return Ok(None);
    }
    let mut wrong = Vec::new();
    for fault in &faults[1..] {
        if fault.miss_ratio(&seen, &shown_a)? >= PLAIN_MISS_RATIO {
            wrong.push(*fault);
        }
    }
    if wrong.len() < OPTIONS - 1 {
        return Ok(None);
    }
    wrong.truncate(OPTIONS - 1);
    let mut offered: Vec<Fault> = wrong;
    offered.push(right);
    draw.shuffle(&mut offered);
    let place_of_right = offered.iter().position(|fault| *fault == right).unwrap_or(0);

    let mut solution =
        vec!["Look at the rows one beside the other: difference, ratio, shape.".into()];
    for (seen, shown) in seen.iter().zip(&shown) {
        solution.push(format!(
            "step {}: {:+.2} A, {:+.1} %",
            seen.point.step.number,
            shown.value() - seen.true_a,
            100.0 * (shown.value() / seen.true_a - 1.0)
        ));
    }
    let letter = Answer::letter(place_of_right);
    solution.push(format!("{letter}): {}.", right.reason()));
    for (at, fault) in offered.iter().enumerate().filter(|(_, fault)| **fault != right) {
        let miss = fault.miss_ratio(&seen, &shown_a)?;
        solution.push(if miss.is_finite() {
            format!(
                "Not {}): it would miss a row by {:.1} % of the current.",
                Answer::letter(at),
                100.0 * miss
            )
        } else {
            format!("Not {}): it would show no number.", Answer::letter(at))
        });
    }
    let with_shape = level > Level::Trainee;
    let mut columns = vec!["step", "reference A", "this meter A"];
    if with_shape {
        columns.extend(["form factor", "crest factor"]);
    }
    let mut rows = Vec::with_capacity(seen.len());
    for ((seen, read), shown) in seen.iter().zip(&read).zip(&shown) {
        let mut row = vec![
            seen.point.step.number.to_string(),
            read.bare().to_owned(),
            shown.bare().to_owned(),
        ];
        if with_shape {
            let (Some(form), Some(crest)) = (seen.point.form_factor(), seen.point.crest_factor())
            else {
                return Ok(None);
            };
            row.extend([format!("{form:.3}"), format!("{crest:.3}")]);
        }
        rows.push(row);
    }
    let options = offered.iter().map(|fault| fault.words()).collect();
    let answer = Answer::Choice { options, right: place_of_right };
    Ok(Some(Problem {
        story: format!(
            "With {} a meter is read beside a true-RMS reference that is in order. The numbers do not \
             agree.",
            place.words()
        ),
        table: Some(GivenTable {
            caption: "Read at the same time, the brightest step first".into(),
            columns: columns.into_iter().map(str::to_owned).collect(),
            rows,
        }),
        question: "What is wrong with this meter?".into(),
        solution,
        ..begun(ProblemKind::WhatWentWrong, level, draw, answer)
    }))
}
