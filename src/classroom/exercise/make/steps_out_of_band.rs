use crate::error::Result;
use crate::regulator::{Placement, Step};

use super::super::answer::steps_words;
use super::super::{Answer, Bank, GivenTable, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun, is_clear_of_edges, source_words, stated};

/// Readings of a true-RMS meter against the bands.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let steps = *draw.pick(&[&bank.steps, &bank.other_steps]);
    let readings: Vec<(&Step, Printed)> = steps
        .steps()
        .iter()
        .map(|step| (step, amperes(step.nominal.a() * draw.between(0.955, 1.045))))
        .collect();
    if !readings.iter().all(|(step, read)| is_clear_of_edges(step, read.value(), 0.015)) {
        return Ok(None);
    }
    let mut right: Vec<u32> = Vec::new();
    let mut solution = vec![
        "Hold every reading against the edges of its own step; the edges belong to the band."
            .into(),
    ];
    for (step, read) in &readings {
        let placement = step.band.place(stated(read.value()));
        let words = match placement {
            Placement::Inside => "inside",
            Placement::Low => "too low: out of band",
            Placement::High => "too high: out of band",
        };
        if placement != Placement::Inside {
            right.push(step.number);
        }
        solution.push(format!(
            "step {}: {} against {:.2} to {:.2} A: {words}",
            step.number,
            read,
            step.band.low_a(),
            step.band.high_a()
        ));
    }
    right.sort_unstable();
    if right.len() > 3 {
        return Ok(None);
    }
    solution.push(format!("Out of band: {}.", steps_words(&right)));
    let rows = readings
        .iter()
        .map(|(step, read)| {
            vec![
                step.number.to_string(),
                format!("{:.2}", step.nominal.a()),
                format!("{:.2} to {:.2}", step.band.low_a(), step.band.high_a()),
                read.bare().to_owned(),
            ]
        })
        .collect();
    let answer = Answer::Steps { right, known: bank.step_numbers() };
    Ok(Some(Problem {
        story: "The output is shorted. A true-RMS meter in calibration reads every step; take its \
                numbers as they stand."
            .into(),
        table: Some(GivenTable {
            caption: format!("Bands: {}", source_words(steps)),
            columns: ["step", "nominal A", "band A", "read A"].map(str::to_owned).to_vec(),
            rows,
        }),
        question: "Which steps are out of band? Write their numbers, or \"none\".".into(),
        solution,
        ..begun(ProblemKind::StepsOutOfBand, Level::Trainee, draw, answer)
    }))
}
