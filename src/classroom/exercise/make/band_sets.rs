use crate::error::Result;
use crate::regulator::Placement;

use super::super::answer::steps_words;
use super::super::{Answer, Bank, GivenTable, Level, Problem, ProblemKind};
use super::{Draw, amperes, begun, is_clear_of_edges, source_words, stated};

/// The same readings against two sets of bands.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let (mut rows, mut right, mut solution) = (Vec::new(), Vec::new(), Vec::new());
    for step in bank.steps.steps() {
        let Some(other) = bank.other_steps.step(step.number) else { return Ok(None) };
        let read = amperes(step.nominal.a() * draw.between(0.966, 1.034));
        let is_plain = |it| is_clear_of_edges(it, read.value(), 0.008);
        if !is_plain(step) || !is_plain(other) {
            return Ok(None);
        }
        let inside =
            [step, other].map(|it| it.band.place(stated(read.value())) == Placement::Inside);
        if inside[0] != inside[1] {
            right.push(step.number);
        }
        let word = |is_inside| if is_inside { "in band" } else { "out of band" };
        let same = if inside[0] == inside[1] { "the same" } else { "they differ" };
        solution.push(format!(
            "step {}: {read}: first set {}, second set {}: {same}",
            step.number,
            word(inside[0]),
            word(inside[1])
        ));
        let band = |it: &crate::regulator::Step| {
            format!("{:.2} to {:.2}", it.band.low_a(), it.band.high_a())
        };
        rows.push(vec![step.number.to_string(), read.bare().to_owned(), band(step), band(other)]);
    }
    if right.is_empty() && draw.index(4) > 0 {
        return Ok(None);
    }
    right.sort_unstable();
    solution.push(format!(
        "The verdicts differ at: {}. Only the set that binds the aerodrome counts.",
        steps_words(&right)
    ));
    let corrected = bank.other_steps.steps().iter().find(|step| step.remark.is_some());
    let remark = corrected.map_or(String::new(), |step| {
        format!(" Of the second, one edge of step {} is a misprint set right.", step.number)
    });
    let answer = Answer::Steps { right, known: bank.step_numbers() };
    Ok(Some(Problem {
        story: format!(
            "The readings of a true-RMS meter, taken as they stand, are judged twice: by the bands of \
             {} and by those of {}.{remark}",
            source_words(&bank.steps),
            source_words(&bank.other_steps)
        ),
        table: Some(GivenTable {
            caption: "Readings and both sets of bands".into(),
            columns: ["step", "read A", "first set A", "second set A"].map(str::to_owned).to_vec(),
            rows,
        }),
        question: "At which steps do the two verdicts differ? Write their numbers, or \"none\"."
            .into(),
        solution,
        ..begun(ProblemKind::BandSets, Level::Technician, draw, answer)
    }))
}
