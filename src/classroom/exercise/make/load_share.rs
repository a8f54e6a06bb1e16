use crate::cited::{Cited, Source};
use crate::error::Result;
use crate::series::{
    CableRun, Draw as Drawn, LoadCalculation, LoadItem, LoadMargin, TransformerLoss,
};

use super::super::problem::{given, number};
use super::super::{AnswerUnit, Level, Printed, Problem, ProblemKind};
use super::{Draw, begun, is_told_apart};

/// Of the rating, in percent.
const TOLERANCE: f64 = 0.5;

/// The calculated load against the rating: lamps and transformers; then cable; then electronics.
pub(super) fn make(draw: &mut Draw<'_>, level: Level) -> Result<Option<Problem>> {
    let count = draw.whole(18, 90);
    let power_w = *draw.pick(&[45.0, 65.0, 100.0, 120.0, 150.0, 200.0]);
    let loss = Printed::new(draw.between(10.0, 19.0), 0, "%");
    let rating_kva = *draw.pick(&[4.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0]);
    let current_a = 6.6;

    let lamps_w = f64::from(count) * power_w;
    let loss_w = lamps_w * loss.value() / 100.0;
    let mut givens = vec![
        given("rated current I", &Printed::new(current_a, 1, "A")),
        given("regulator rated", &Printed::new(rating_kva, 1, "kVA")),
        given("fixtures", &Printed::new(f64::from(count), 0, "")),
        given("lamp of each", &Printed::new(power_w, 0, "W")),
        given("loss of transformer and leads, of the lamp", &loss),
    ];
    let lamp_loss =
        Cited { value: loss.value() / 100.0, source: Source::entered("the sheet of the exercise") };
    let lamp = LoadItem {
        name: "lights".into(),
        count,
        draw: Drawn::Lamp { power_w },
        loss: Some(TransformerLoss::Share(lamp_loss)),
    };
    let mut solution = vec![
        "Watts and volt-amperes are added as numbers; everything is counted as if it worked."
            .into(),
        format!("lamps: {count} x {power_w:.0} W = {lamps_w:.0} W"),
        format!("transformers: {loss} of {lamps_w:.0} W = {loss_w:.0} W"),
    ];
    let mut calculation =
        LoadCalculation { current_rms_a: current_a, items: vec![lamp], cable: Vec::new() };
    let mut sum_va = lamps_w + loss_w;
    if level > Level::Trainee {
        let length_km = Printed::new(draw.between(1.0, 7.0), 1, "km");
        let ohm_per_km = Printed::new(draw.between(2.2, 3.6), 2, "ohm/km");
        let cable_w = current_a * current_a * length_km.value() * ohm_per_km.value();
        givens.push(given("conductor of the loop, whole length", &length_km));
        givens.push(given("its resistance", &ohm_per_km));
        solution.push(format!(
            "cable: I² R = 6.6² x {:.2} ohm = {cable_w:.0} W",
            length_km.value() * ohm_per_km.value()
        ));
        sum_va += cable_w;
        calculation.cable.push(CableRun {
            name: "loop".into(),
            resistance_ohm_per_m: ohm_per_km.value() / 1e3,
            reference_degc: 20.0,
            temperature_coefficient_per_k: 0.0,
            length_m: 1e3 * length_km.value(),
            temperature_degc: 20.0,
            inductance_h_per_m: None,
        });
    }
    let mut mistaken_va = sum_va;
    if level > Level::Technician {
        let signs = draw.whole(6, 24);
        let sign_w = *draw.pick(&[40.0, 60.0, 90.0]);
        let power_factor = Printed::new(draw.between(0.78, 0.95), 2, "");
        let signs_va = f64::from(signs) * sign_w / power_factor.value();
        givens.push(given("signs with electronics", &Printed::new(f64::from(signs), 0, "")));
        givens.push(given("power of each, transformer included", &Printed::new(sign_w, 0, "W")));
        givens.push(given("their power factor", &power_factor));
        solution
            .push(format!("signs: {signs} x {sign_w:.0} W / {power_factor} = {signs_va:.0} VA"));
        sum_va += signs_va;
        // Watts added to volt-amperes as they stand: the mistake this is about.
        mistaken_va += f64::from(signs) * sign_w;
        calculation.items.push(LoadItem {
            name: "signs".into(),
            count: signs,
            draw: Drawn::Electronic { active_w: sign_w, power_factor: power_factor.value() },
            loss: None,
        });
    }
    let by_hand = sum_va / (10.0 * rating_kva);
    let margin = LoadMargin::new(calculation.sum()?, 1e3 * rating_kva, 1.0)?;
    let engine = 100.0 * margin.share_of_rating();
    let is_telling = level <= Level::Technician
        || is_told_apart(by_hand, mistaken_va / (10.0 * rating_kva), TOLERANCE);
    if !(35.0..=98.0).contains(&by_hand) || !is_telling {
        return Ok(None);
    }
    let Some(answer) = number(engine, by_hand, AnswerUnit::Percent, TOLERANCE, 1) else {
        return Ok(None);
    };
    solution.push(format!("together {sum_va:.0} VA"));
    solution.push(format!("{sum_va:.0} VA / {:.0} VA = {by_hand:.1} %", 1e3 * rating_kva));
    Ok(Some(Problem {
        story: "The load of a series circuit is calculated before a regulator is chosen.".into(),
        givens,
        question: "How much of the regulator's rating does the circuit take, in percent?".into(),
        solution,
        ..begun(ProblemKind::LoadShare, level, draw, answer)
    }))
}
