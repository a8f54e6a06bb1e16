use crate::error::{Error, Result};
use crate::meter::{Sheet, Signal, TransformerClass, VoltageCategory};

use super::demand::{
    ACCURACY, BANDWIDTH, CLASS, COUPLING, Choice, Frame, PARAMETERS, POSITION, RATED, RESOLUTION,
};
use super::{StepCurrents, Suitability, Terms, Verdict, purchase_text};

/// The least demanding data sheet that is fit at every step: what to buy, with no brand.
///
/// No single value of it can be taken one rung down its ladder of round numbers without losing "fit"
/// somewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirement {
    /// The data sheet, as a meter to be judged.
    pub sheet: Sheet,
    /// Accuracy: part of the reading.
    pub accuracy_ratio: f64,
    /// Accuracy: counts beside it.
    pub accuracy_counts: f64,
    /// The lowest nominal it must hold at.
    pub lowest_a: f64,
    /// Range it is asked for on.
    pub range_a: f64,
    /// Crest factor at the full scale of that range.
    pub crest_factor_at_range: f64,
    /// Largest peak among the currents.
    pub highest_peak_a: f64,
    /// Largest crest factor among the currents.
    pub highest_crest_factor: f64,
    /// Bandwidth, as one pole.
    pub bandwidth_hz: f64,
    /// Step of the last digit.
    pub resolution_a: f64,
    /// Class and rated current of an iron-core clamp; `None` for a clamp whose error is within the
    /// accuracy.
    pub clamp: Option<(TransformerClass, f64)>,
    /// Largest error by the position of the conductor.
    pub position_ratio: f64,
    /// Expanded uncertainty of the certificate, k = 2, over the reading.
    pub certificate_ratio: f64,
    /// Measurement category and working voltage; `None` when the loop's voltage is not known.
    pub category: Option<VoltageCategory>,
    /// Mains frequency.
    pub frequency_hz: f64,
    /// What that sheet achieves, step by step.
    pub verdicts: Vec<Verdict>,
}

impl Requirement {
    /// The requirement for all the steps of all the circuits that one meter is to serve.
    ///
    /// Accuracy is relaxed first and then taken one rung back, so that the other values have room;
    /// then all are relaxed in turn while every step stays fit.
    ///
    /// # Errors
    /// `Inconsistent` for no step, or when not even the most demanding sheet is fit: the band or the
    /// spread of the currents leaves nothing; what stands in the way is named. Otherwise as
    /// [`Verdict::new`].
    pub fn new(steps: &[StepCurrents], terms: &Terms) -> Result<Self> {
        terms.check()?;
        let frame = Frame::of(steps)?;
        let signals: Vec<Vec<Signal<'_>>> = steps.iter().map(StepCurrents::signals).collect();
        let judge = |choice: Choice| frame.judge(choice, steps, &signals, terms);
        let is_fit = |choice: Choice| -> Result<bool> {
            Ok(judge(choice)?.iter().all(|verdict| verdict.suitability == Suitability::Fit))
        };
        let mut choice = Choice([0; PARAMETERS]);
        if let Some(bad) =
            judge(choice)?.iter().find(|verdict| verdict.suitability != Suitability::Fit)
        {
            return Err(Error::inconsistent(format!(
                "no meter is fit at step {}, {}: with the most demanding data sheet it is {}",
                bad.step.number,
                bad.connection.words(),
                bad.sentence()
            ))
            .with_hint("judge fewer kinds of load together, or ask for a lower probability"));
        }
        let relaxed = |mut choice: Choice, parameter: usize| -> Result<Choice> {
            while choice.0[parameter] < frame.last(parameter) {
                let mut next = choice;
                next.0[parameter] += 1;
                if !is_fit(next)? {
                    break;
                }
                choice = next;
            }
            Ok(choice)
        };
        choice = relaxed(choice, ACCURACY)?;
        choice.0[ACCURACY] = choice.0[ACCURACY].saturating_sub(1);
        // A looser bandwidth moves the gain and with it the digits at the ends of a set-band, so that a
        // rung refused once may be taken later: round by round until nothing moves.
        loop {
            let before = choice.0;
            for parameter in [COUPLING, BANDWIDTH, RESOLUTION, CLASS, RATED, POSITION, ACCURACY] {
                choice = relaxed(choice, parameter)?;
            }
            if choice.0 == before {
                return Ok(frame.requirement(choice, judge(choice)?));
            }
        }
    }

    /// The requirement as text for a purchase order, one demand to a line.
    #[must_use]
    pub fn purchase_text(&self) -> Vec<String> {
        purchase_text::lines(self)
    }
}
