use schemars::JsonSchema;
use serde::Serialize;

use crate::lamp::LifeChange;
use crate::procedure::entry::{Moment, Output, ReadingTaken};
use crate::procedure::{Bench, LoggedEntry, Visit};

/// A reading that counts, with what it was judged to mean.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VisitReadingPart {
    /// Number of the step.
    pub step: u32,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// `as-found` or `as-left`.
    pub moment: &'static str,
    /// Number of the entry.
    pub entry: u64,
    /// When it was written down, UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// Program and version that judged it.
    pub program: String,
    /// What was typed, letter for letter.
    pub typed: String,
    /// The number on the display.
    pub shown_a: f64,
    /// Whether the meter may set this step with this output; `null` when it was not judged.
    pub suitability: Option<String>,
    /// The verdict on the meter, in words.
    pub verdict: Option<String>,
    /// Lowest number the meter may show.
    pub set_low_a: Option<f64>,
    /// Highest number the meter may show.
    pub set_high_a: Option<f64>,
    /// Whether the number lies in that set-band; `null` where there is none.
    pub in_set_band: Option<bool>,
    /// True RMS current, best estimate.
    pub true_rms_a: Option<f64>,
    /// Its standard uncertainty.
    pub standard_uncertainty_a: Option<f64>,
    /// Its expanded uncertainty.
    pub expanded_uncertainty_a: Option<f64>,
    /// Coverage factor of that.
    pub coverage_factor: Option<f64>,
    /// Probability that the true current lies in the band.
    pub conformance_probability: Option<f64>,
    /// Outcome under simple acceptance.
    pub simple: Option<String>,
    /// Outcome with a guard band of the expanded uncertainty.
    pub guarded: Option<String>,
    /// Light against that at the nominal.
    pub light_ratio: Option<f64>,
    /// Lamp life against that at the nominal.
    pub life_ratio: Option<f64>,
    /// Where the light law gives no number: `more` or `less` light than at the nominal.
    pub light_beyond_law: Option<&'static str>,
    /// Where the life law gives no number: `longer` or `shorter` life than at the nominal, or
    /// `not governing`, so far below the rated current that lamps do not wear by burning.
    pub life_beyond_law: Option<&'static str>,
    /// What was doubtful about it and kept all the same.
    pub doubts: Vec<DoubtPart>,
}

/// Why a number was asked about again.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DoubtPart {
    /// Stable short name.
    pub code: String,
    /// One sentence.
    pub text: String,
}

impl VisitReadingPart {
    /// The reading that counts at each step, with each output, as found and as left: those of steps
    /// in this order.
    pub(super) fn all(visit: &Visit, bench: &Bench, steps: &[u32]) -> Vec<Self> {
        let mut parts = Vec::new();
        for output in [Output::Shorted, Output::Field] {
            for moment in [Moment::AsFound, Moment::AsLeft] {
                for step in steps {
                    let Some(counts) = visit.reading(*step, moment, output) else { continue };
                    let logged =
                        visit.readings().find(|(_, reading)| std::ptr::eq(*reading, counts));
                    parts.extend(logged.map(|(logged, reading)| Self::of(logged, reading, bench)));
                }
            }
        }
        parts
    }

    fn of(logged: &LoggedEntry, reading: &ReadingTaken, bench: &Bench) -> Self {
        let judgement = reading.judgement.as_ref();
        let effect = judgement.and_then(|known| bench.lamp_effect(known));
        let is_above = judgement
            .and_then(|known| known.true_rms_a.map(|true_rms_a| true_rms_a > known.nominal_a));
        let set_band = judgement.and_then(|known| known.set_low_a.zip(known.set_high_a));
        Self {
            step: reading.step,
            output: reading.output.key(),
            moment: reading.moment.key(),
            entry: logged.number,
            at: logged.at.to_string(),
            by: logged.by.clone(),
            program: logged.program.clone(),
            typed: reading.typed.clone(),
            shown_a: reading.shown_a,
            suitability: judgement.map(|known| known.suitability.clone()),
            verdict: judgement.map(|known| known.verdict.clone()),
            set_low_a: set_band.map(|(low_a, _)| low_a),
            set_high_a: set_band.map(|(_, high_a)| high_a),
            in_set_band: set_band.map(|(low_a, high_a)| {
                let slack_a = 1e-9 * reading.shown_a.abs();
                reading.shown_a >= low_a - slack_a && reading.shown_a <= high_a + slack_a
            }),
            true_rms_a: judgement.and_then(|known| known.true_rms_a),
            standard_uncertainty_a: judgement.and_then(|known| known.standard_uncertainty_a),
            expanded_uncertainty_a: judgement.and_then(|known| known.expanded_uncertainty_a),
            coverage_factor: judgement.and_then(|known| known.coverage_factor),
            conformance_probability: judgement.and_then(|known| known.conformance_probability),
            simple: judgement.and_then(|known| known.simple.clone()),
            guarded: judgement.and_then(|known| known.guarded.clone()),
            light_ratio: judgement.and_then(|known| known.light_ratio),
            life_ratio: judgement.and_then(|known| known.life_ratio),
            light_beyond_law: effect
                .as_ref()
                .filter(|effect| effect.light_ratio.is_none())
                .and(is_above)
                .map(|is_above| if is_above { "more" } else { "less" }),
            life_beyond_law: effect.as_ref().and_then(|effect| match effect.life {
                LifeChange::Ratio(_) => None,
                LifeChange::MuchLonger => Some("longer"),
                LifeChange::MuchShorter => Some("shorter"),
                LifeChange::NotGoverning => Some("not governing"),
            }),
            doubts: reading
                .doubts
                .iter()
                .map(|doubt| DoubtPart { code: doubt.code.clone(), text: doubt.text.clone() })
                .collect(),
        }
    }
}
