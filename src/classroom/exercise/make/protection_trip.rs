use crate::error::Result;
use crate::regulator::protection::{
    OvercurrentStage, Protection, ProtectionLaw, SteadyRise, TripCause,
};

use super::super::problem::given;
use super::super::{Answer, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun};

const RATED_A: f64 = 6.6;
const FREQUENCY_HZ: f64 = 60.0;

/// Two stages, a detector that may be fooled by the shape of the current, a rise.
pub(super) fn make(draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let percent = |draw: &mut Draw<'_>, low, high| Printed::new(draw.between(low, high), 0, "%");
    let pickups = [percent(draw, 102.0, 106.0), percent(draw, 113.0, 122.0)];
    let delays = [
        Printed::new(draw.between(2.5, 4.5), 1, "s"),
        Printed::new(draw.between(0.2, 0.8), 1, "s"),
    ];
    let (law, error) = if draw.index(2) == 0 {
        (ProtectionLaw::TrueRms, Printed::new(0.0, 1, "%"))
    } else {
        (ProtectionLaw::Average, Printed::new(draw.between(-6.0, -1.5), 1, "%"))
    };
    let current = amperes(RATED_A * draw.between(1.01, 1.32));
    let gain = 1.0 + error.value() / 100.0;
    let stages: Vec<OvercurrentStage> = pickups
        .iter()
        .zip(&delays)
        .map(|(pickup, delay)| OvercurrentStage {
            pickup_ratio: pickup.value() / 100.0,
            delay_s: delay.value(),
            tried: None,
            tried_within_ratio: None,
        })
        .collect();
    let protection = Protection { law, stages, open_circuit: None, ..Protection::default() };
    protection.check()?;
    let rise = SteadyRise { before_ratio: 1.0, after_ratio: current.value() / RATED_A, gain };
    let engine = protection.time_to_trip_s(&rise, FREQUENCY_HZ);

    let seen_a = current.value() * gain;
    let set_a: Vec<f64> = pickups.iter().map(|pickup| RATED_A * pickup.value() / 100.0).collect();
    // No rounding decides.
    if set_a.iter().any(|set_a| (seen_a / set_a - 1.0).abs() < 0.008) {
        return Ok(None);
    }
    let by_hand = (0..2).rev().find(|stage| seen_a >= set_a[*stage]);
    let agrees = match (engine, by_hand) {
        (None, None) => true,
        (Some((TripCause::Stage(stage), time_s)), Some(hand)) => {
            // A window of two half cycles, and the half cycle begun: 25 ms at most.
            let late_s = time_s - delays[hand].value();
            stage == hand && (0.0..=0.026).contains(&late_s)
        }
        _ => false,
    };
    if !agrees {
        return Ok(None);
    }
    let options = vec![
        format!("stage 1, after about {}", delays[0]),
        format!("stage 2, after about {}", delays[1]),
        "neither: it goes on".to_owned(),
    ];
    let right = by_hand.unwrap_or(2);
    let is_fooled = law == ProtectionLaw::Average;
    let mut givens = vec![
        given("rated current", &Printed::new(RATED_A, 1, "A")),
        given("stage 1 picks up at, of rated", &pickups[0]),
        given("stage 1 waits", &delays[0]),
        given("stage 2 picks up at, of rated", &pickups[1]),
        given("stage 2 waits", &delays[1]),
        given("true RMS current after the rise", &current),
    ];
    if is_fooled {
        givens.push(given("error of the detector on this current", &error));
    }
    let mut solution = vec![if is_fooled {
        format!("The detector sees {current} x {gain:.3} = {seen_a:.3} A, less than what flows.")
    } else {
        format!("The detector measures true RMS: it sees {current}.")
    }];
    for (place, set_a) in set_a.iter().enumerate() {
        solution.push(format!(
            "stage {}: {} of 6.6 A = {set_a:.3} A: {}",
            place + 1,
            pickups[place],
            if seen_a >= *set_a { "picks up" } else { "does not pick up" }
        ));
    }
    solution.push(match by_hand {
        Some(stage) => format!(
            "Stage {} acts first, after {} and at most two more cycles.",
            stage + 1,
            delays[stage]
        ),
        None => "No stage picks up: the current goes on as it is.".into(),
    });
    let detector = if is_fooled {
        "Its detector is average-responding, scaled for a sine"
    } else {
        "Its detector measures the true RMS"
    };
    let answer = Answer::Choice { options, right };
    Ok(Some(Problem {
        story: format!(
            "The overcurrent protection of a regulator has two stages. {detector}, over one cycle of \
             60 Hz. From the rated current the output rises at once and stays up."
        ),
        givens,
        question: "What does the protection do?".into(),
        solution,
        ..begun(ProblemKind::ProtectionTrip, Level::Engineer, draw, answer)
    }))
}
