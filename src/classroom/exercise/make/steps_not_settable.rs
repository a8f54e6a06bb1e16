use crate::assess::{Fitness, Judgement};
use crate::error::Result;
use crate::meter::Meter;
use crate::regulator::Placement;

use super::super::answer::steps_words;
use super::super::{Answer, Bank, GivenTable, Level, Printed, Problem, ProblemKind};
use super::{AVERAGE, Draw, PEAK, begun, is_clear_of_edges, source_words, stated};

/// At which steps trimming a meter to the nominal leaves the true current outside the band.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let place = *draw.pick(&bank.all());
    let by_peak = draw.index(3) == 0;
    let law = if by_peak { PEAK } else { AVERAGE };
    let own = Printed::new(draw.between(-1.2, 1.2), 1, "%");
    let own_gain = 1.0 + own.value() / 100.0;
    let steps = *draw.pick(&[&bank.steps, &bank.other_steps]);
    let meter = Meter::ideal("meter", law);
    let (mut rows, mut right) = (Vec::new(), Vec::new());
    let mut solution = vec![
        "Trimmed until the meter shows the nominal In, the true current is In x In / shown.".into(),
    ];
    for point in bank.at_load_of(place) {
        let Some(step) = steps.step(point.step.number) else { return Ok(None) };
        let rated = steps.top().nominal;
        let judgement = Judgement::new(&meter, step, &point.measures, &bank.lamp, rated)?;
        let Some(trimmed) = judgement.trimmed else { return Ok(None) };
        let engine_a = trimmed.true_rms.a() / own_gain;
        let shown = Printed::new(judgement.shown.shown_a() * own_gain, 3, "A");
        let nominal_a = step.nominal.a();
        let by_hand_a = nominal_a * nominal_a / shown.value();
        let place = |a: f64| step.band.place(stated(a));
        if !is_clear_of_edges(step, engine_a, 0.008) || place(engine_a) != place(by_hand_a) {
            return Ok(None);
        }
        // Without an error of its own the engine's verdict is the one that is asked for.
        let is_out = place(engine_a) != Placement::Inside;
        if own.value().abs() < 0.05 && is_out != (judgement.fitness == Fitness::NotFit) {
            return Ok(None);
        }
        if is_out {
            right.push(step.number);
        }
        solution.push(format!(
            "step {}: {nominal_a:.2}² / {} = {by_hand_a:.3} A: {}",
            step.number,
            shown.bare(),
            match place(by_hand_a) {
                Placement::Inside => "in band",
                Placement::Low => "below the band",
                Placement::High => "above the band",
            }
        ));
        rows.push(vec![
            step.number.to_string(),
            format!("{nominal_a:.2}"),
            format!("{:.2} to {:.2}", step.band.low_a(), step.band.high_a()),
            shown.bare().to_owned(),
        ]);
    }
    right.sort_unstable();
    let all = bank.step_numbers();
    // Answers that need no looking are kept now and then only.
    if (right.is_empty() || right.len() == all.len()) && draw.index(5) > 0 {
        return Ok(None);
    }
    solution.push(format!("It cannot set: {}.", steps_words(&right)));
    let kind = if by_peak { "A peak-responding" } else { "An average-responding" };
    let answer = Answer::Steps { right, known: all };
    Ok(Some(Problem {
        story: format!(
            "{kind} meter is tried with {}. While a true-RMS standard shows exactly the nominal, it \
             shows the numbers below.",
            place.words()
        ),
        table: Some(GivenTable {
            caption: format!("Bands: {}", source_words(steps)),
            columns: ["step", "nominal A", "band A", "shown at the nominal A"]
                .map(str::to_owned)
                .to_vec(),
            rows,
        }),
        question:
            "Every step is trimmed until this meter shows its nominal. At which steps does the \
                   true current then lie outside the band? Write their numbers, or \"none\"."
                .into(),
        solution,
        ..begun(ProblemKind::StepsNotSettable, Level::Engineer, draw, answer)
    }))
}
