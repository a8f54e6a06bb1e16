use crate::error::Result;
use crate::regulator::{Placement, Step, StepTable};
use crate::waveform::{Coupling, TrueRms, Waveform};

use super::StepCase;

/// Farther than this from every nominal, the nearest step is not meant. Our own choice: well beyond
/// every band, less than half of the way from one nominal to the next.
const NEAR_RATIO: f64 = 0.10;

/// The brightness step a recorded current is likely to be, and where it lies against its band.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordedStep {
    /// The step: the one asked for, or the nearest.
    pub step: Step,
    /// Whether the user asked for it.
    pub asked_for: bool,
    /// Where the true RMS lies; `None` when no step is near.
    pub placement: Option<Placement>,
    /// Whether the expanded uncertainty leaves no doubt about that: its whole interval lies on one
    /// side of each edge.
    pub beyond_doubt: bool,
    true_rms: TrueRms,
}

impl RecordedStep {
    /// The step of a true RMS that is known to an expanded uncertainty relative to it.
    #[must_use]
    pub fn of(
        table: &StepTable,
        asked: Option<&Step>,
        true_rms: TrueRms,
        expanded_ratio: f64,
    ) -> Self {
        let step = asked.unwrap_or_else(|| table.nearest(true_rms));
        let ratio = true_rms.ratio_to(step.nominal);
        let is_near =
            asked.is_some() || ratio.is_some_and(|ratio| (ratio - 1.0).abs() <= NEAR_RATIO);
        let at = |factor: f64| step.band.place(TrueRms::stated_a(factor * true_rms.a()));
        let beyond_doubt = is_near && at(1.0 - expanded_ratio) == at(1.0 + expanded_ratio);
        Self {
            step: step.clone(),
            asked_for: asked.is_some(),
            placement: is_near.then(|| step.band.place(true_rms)),
            beyond_doubt,
            true_rms,
        }
    }

    /// The recorded shape as the case of its step, scaled to the nominal: what every meter is judged
    /// on. `None` when no step is near.
    ///
    /// # Errors
    /// As [`Waveform::scaled_to_rms`].
    pub fn case(&self, waveform: &Waveform, name: &str) -> Result<Option<StepCase>> {
        if self.placement.is_none() {
            return Ok(None);
        }
        Ok(Some(StepCase {
            step: self.step.clone(),
            waveform: waveform.scaled_to_rms(self.step.nominal.a(), Coupling::Dc)?,
            origin: format!("record {name}, {:.3} A true RMS as recorded", self.true_rms.a()),
        }))
    }
}
