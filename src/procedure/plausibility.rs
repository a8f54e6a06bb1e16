//! Whether a number can be what it is taken for, asked before it is written down.

use crate::meter::Detector;
use crate::regulator::Step;

use super::bench::OTHER_LAWS;
use super::entry::{Moment, Output, ReadingDoubt};
use super::{Bench, Visit, signed_percent};

/// A number at a step, before it is written down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Number of the step.
    pub step: u32,
    /// As found or as left.
    pub moment: Moment,
    /// What the output is connected to.
    pub output: Output,
    /// The number on the display.
    pub shown_a: f64,
}

/// Farther from the nominal than this, a number wants an explanation. Our own choice: regulators are
/// found several percent off, hardly ever more.
const FAR_RATIO: f64 = 0.10;
/// Nearer to another nominal than this, it rather belongs to that step. Our own choice.
const NEAR_RATIO: f64 = 0.04;
/// How well a number fits what another law shows of a current at its nominal. Our own choice: a little
/// more than the digits and the scatter of a steady reading.
const LAW_FIT_RATIO: f64 = 0.004;
/// A law that differs less than this from true RMS cannot be told from it.
const LAW_DIFFERENCE_RATIO: f64 = 0.008;
/// Share of the band's width by which shorted and field may differ before it is asked about. Our own
/// choice.
const DIFFERENCE_SHARE: f64 = 0.25;

impl Candidate {
    /// Codes of doubts that want an answer before the number is kept; the others are only told.
    pub const ASKED: [&'static str; 8] = [
        "milliampere",
        "factor-ten",
        "decimal-mark",
        "wrong-step",
        "far-off",
        "average-law",
        "peak-law",
        "same-as-last",
    ];

    /// Everything doubtful about it, the gravest first; empty when it can be what it is taken for.
    #[must_use]
    pub fn doubts(&self, bench: &Bench, visit: &Visit) -> Vec<ReadingDoubt> {
        let Some(step) = bench.steps().step(self.step) else { return Vec::new() };
        let slip = self.slip(bench, step);
        let is_slip = slip.is_some();
        let mut doubts: Vec<ReadingDoubt> = slip.into_iter().collect();
        if !is_slip {
            doubts.extend(self.other_law(bench, step));
            doubts.extend(self.difference(bench, visit, step));
            doubts.extend(self.outside(bench));
        }
        doubts.extend(self.same_again(bench, visit));
        doubts
    }

    /// A slip of the hand: a unit, a decimal mark, a step.
    fn slip(&self, bench: &Bench, step: &Step) -> Option<ReadingDoubt> {
        let (shown_a, nominal_a) = (self.shown_a, step.nominal.a());
        if off(shown_a, nominal_a) <= FAR_RATIO {
            return None;
        }
        let other = bench
            .steps()
            .steps()
            .iter()
            .filter(|other| other.number != step.number)
            .find(|other| off(shown_a, other.nominal.a()) <= NEAR_RATIO);
        if let Some(other) = other {
            return Some(doubt(
                "wrong-step",
                format!(
                    "{shown_a} A is far from step {} ({nominal_a} A) and fits step {} ({} A): is \
                     the right step selected?",
                    step.number,
                    other.number,
                    other.nominal.a()
                ),
            ));
        }
        let scaled = [
            ("factor-ten", 10.0, "ten times too much"),
            ("factor-ten", 0.1, "ten times too little"),
            ("decimal-mark", 100.0, "a hundred times too much: is the decimal mark missing?"),
            ("milliampere", 1000.0, "a thousand times too much: is it in milliamperes?"),
        ];
        for (code, factor, words) in scaled {
            let meant_a = shown_a / factor;
            if off(meant_a, nominal_a) <= FAR_RATIO {
                let meant = (1e6 * meant_a).round() / 1e6;
                return Some(doubt(
                    code,
                    format!(
                        "{shown_a} A is {words} {}Did you mean {meant} A?",
                        if words.ends_with('?') { "" } else { "for this step. " }
                    ),
                ));
            }
        }
        Some(doubt(
            "far-off",
            format!(
                "{shown_a} A is {:+.0} % from the nominal of step {} ({nominal_a} A): right step, \
                 right range, clamp closed?",
                100.0 * (shown_a / nominal_a - 1.0),
                step.number
            ),
        ))
    }

    /// What a meter of another law would show of a current that is right.
    fn other_law(&self, bench: &Bench, step: &Step) -> Option<ReadingDoubt> {
        let looks_untouched = self.moment == Moment::AsFound || self.output == Output::Field;
        if !bench.is_true_rms() || !looks_untouched || self.is_accepted(bench) {
            return None;
        }
        let nominal_a = step.nominal.a();
        OTHER_LAWS.into_iter().find_map(|(code, law)| {
            let (low_a, high_a) = bench.shown_by_law_a(self.step, self.output, law)?;
            let differs = off(low_a, nominal_a).min(off(high_a, nominal_a)) >= LAW_DIFFERENCE_RATIO;
            let fits = self.shown_a >= low_a * (1.0 - LAW_FIT_RATIO)
                && self.shown_a <= high_a * (1.0 + LAW_FIT_RATIO);
            let kind = match law {
                Detector::PeakResponding(_) => "a peak-responding meter",
                _ => "an average-responding meter",
            };
            (differs && fits).then(|| {
                doubt(
                    code,
                    format!(
                        "{} A is what {kind} would show of a current that is right here \
                         ({nominal_a} A): is the meter the one named, and set to true RMS?",
                        self.shown_a
                    ),
                )
            })
        })
    }

    /// The field against the short.
    fn difference(&self, bench: &Bench, visit: &Visit, step: &Step) -> Option<ReadingDoubt> {
        if self.output != Output::Field {
            return None;
        }
        let shorted_a = visit
            .reading(self.step, Moment::AsLeft, Output::Shorted)
            .and_then(|reading| reading.judgement.as_ref()?.true_rms_a)?;
        let field_a = bench.true_rms_a(self.step, Output::Field, self.shown_a)?;
        let change_a = field_a - shorted_a;
        let limit_a = DIFFERENCE_SHARE * (step.band.high_a() - step.band.low_a());
        let expected = bench.expected_change_ratio(step.number).map_or(String::new(), |ratio| {
            format!("; the model of this regulator expects {}", signed_percent(ratio))
        });
        (change_a.abs() > limit_a).then(|| {
            doubt(
                "shorted-field-differ",
                format!(
                    "with the field connected step {} carries {change_a:+.3} A against shorted \
                     ({}){expected}: find out why before anything is adjusted (feedback, \
                     load, waveform, meter)",
                    step.number,
                    signed_percent(change_a / shorted_a)
                ),
            )
        })
    }

    fn outside(&self, bench: &Bench) -> Option<ReadingDoubt> {
        if self.moment != Moment::AsLeft || self.is_accepted(bench) {
            return None;
        }
        let verdict = bench.verdict(self.step, self.output);
        let set_band = verdict.and_then(|verdict| verdict.set_band);
        let text = match set_band {
            Some(set_band) if set_band.contains(self.shown_a) => {
                "the meter is not fit for this step with this output: whatever it shows is not \
                 accepted"
                    .to_owned()
            }
            Some(set_band) => {
                format!(
                    "{} A is outside what the meter must show, {}",
                    self.shown_a,
                    set_band.words()
                )
            }
            None => "there is no number on this meter that proves this step in its band".to_owned(),
        };
        Some(doubt("outside-set-band", text))
    }

    /// The number of the reading before, once more.
    fn same_again(&self, bench: &Bench, visit: &Visit) -> Option<ReadingDoubt> {
        let (_, last) = visit.readings().next_back()?;
        let is_same = off(self.shown_a, last.shown_a) < 1e-9;
        if !is_same {
            return None;
        }
        if last.step != self.step {
            return Some(doubt(
                "same-as-last",
                format!(
                    "{} A was read at step {} just before: has the step changed, is the display on \
                     hold?",
                    self.shown_a, last.step
                ),
            ));
        }
        let was_turned =
            self.moment == Moment::AsLeft && last.output == self.output && !self.is_accepted(bench);
        was_turned.then(|| {
            doubt(
                "unmoved",
                format!(
                    "the number has not moved: is it the adjuster of step {}, is the display on \
                     hold?",
                    self.step
                ),
            )
        })
    }

    fn is_accepted(&self, bench: &Bench) -> bool {
        bench
            .judge(self.step, self.output, self.shown_a)
            .is_ok_and(|judgement| judgement.accepts(self.shown_a))
    }
}

/// |value/reference − 1|.
fn off(value: f64, reference: f64) -> f64 {
    (value / reference - 1.0).abs()
}

fn doubt(code: &str, text: String) -> ReadingDoubt {
    ReadingDoubt { code: code.to_owned(), text }
}
