use crate::error::Result;
use crate::meter::{CrestCapability, Range, RangeRule, Ranges};

use super::super::problem::given;
use super::super::{Answer, Bank, Level, Printed, Problem, ProblemKind};
use super::{Draw, amperes, begun, step_words};

/// Ranges meters have, lowest first, in amperes.
const RANGES: [[f64; 3]; 6] = [
    [3.0, 6.0, 30.0],
    [4.0, 8.0, 40.0],
    [3.0, 7.0, 20.0],
    [5.0, 10.0, 50.0],
    [6.0, 20.0, 60.0],
    [4.0, 7.5, 15.0],
];

/// The lowest range that holds reading and peak.
pub(super) fn make(bank: &Bank, draw: &mut Draw<'_>) -> Result<Option<Problem>> {
    let sweep = draw.pick(&bank.sweeps);
    let Some(shape) = draw.pick(&sweep.points).shape else { return Ok(None) };
    let full_scales = *draw.pick(&RANGES);
    let at_full_scale = Printed::new(*draw.pick(&[1.42, 1.5, 1.6, 2.0]), 2, "");
    let rms = amperes(sweep.step.nominal.a() * draw.between(0.98, 1.02));
    let crest_factor = Printed::new(shape.crest_factor, 2, "");
    let peak_a = rms.value() * crest_factor.value();
    let crest = CrestCapability { at_full_scale: at_full_scale.value(), cap: None, bands: vec![] };
    let list: Vec<Range> = full_scales
        .iter()
        .map(|full_scale_a| Range { full_scale_a: *full_scale_a, resolution_a: 0.01 })
        .collect();
    // No rounding decides: both limits of every range are at least 2 % away.
    let is_plain = list.iter().all(|range| {
        (peak_a / crest.peak_limit_a(range) - 1.0).abs() > 0.02
            && (rms.value() / range.full_scale_a - 1.0).abs() > 0.02
    });
    let holds =
        |range: &Range| rms.value() <= range.full_scale_a && peak_a <= crest.peak_limit_a(range);
    let ranges = Ranges { list: list.clone(), rule: RangeRule::AutoByReadingAndPeak };
    let chosen = ranges.choose(rms.value(), peak_a, Some(&crest)).filter(|range| holds(range));
    let Some(right) = chosen.and_then(|it| list.iter().position(|range| range == it)) else {
        return Ok(None);
    };
    if !is_plain {
        return Ok(None);
    }
    let options = full_scales.iter().map(|a| format!("the range of {a} A")).collect();
    let mut solution = vec![
        "A range holds a peak of its full scale times the crest factor stated at full scale."
            .into(),
        format!("The peak is {rms} x {crest_factor} = {peak_a:.2} A."),
    ];
    for range in &list {
        let limit_a = crest.peak_limit_a(range);
        let words = if rms.value() > range.full_scale_a {
            "the reading does not fit"
        } else if peak_a > limit_a {
            "the reading fits, the peak is clipped: it would show too little"
        } else {
            "both fit"
        };
        solution.push(format!(
            "{} A: holds peaks up to {} A x {at_full_scale} = {limit_a:.2} A: {words}",
            range.full_scale_a, range.full_scale_a
        ));
    }
    solution.push("The lowest range on which both fit has the finest digits.".into());
    let answer = Answer::Choice { options, right };
    Ok(Some(Problem {
        story: format!(
            "A true-RMS meter with three ranges reads {} on a field with some lamps out. Its sheet \
             states a crest factor at full scale, which rises as the range is filled less.",
            step_words(&sweep.step)
        ),
        givens: vec![
            given("true RMS current", &rms),
            given("crest factor of the current", &crest_factor),
            given("crest factor at full scale", &at_full_scale),
        ],
        question: "Which is the lowest range that holds both the reading and the peak?".into(),
        solution,
        ..begun(ProblemKind::CrestLimit, Level::Technician, draw, answer)
    }))
}
