use crate::error::Result;
use crate::lamp::LampLaw;
use crate::meter::{Meter, Reading};
use crate::regulator::{Placement, Step};
use crate::waveform::{Measures, TrueRms};

use super::{Fitness, Trimmed};

/// One meter at one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// The meter.
    pub meter: Meter,
    /// What it shows when the true RMS is exactly the step's nominal.
    pub shown: Reading,
    /// Shown minus true.
    pub error_a: f64,
    /// (Shown minus true) over true.
    pub error_ratio: f64,
    /// What it must show for the true current to lie in the band: lower and upper edge.
    pub set_band_a: Option<(f64, f64)>,
    /// What happens when the step is trimmed until this meter shows the nominal; `None` when the
    /// meter shows nothing.
    pub trimmed: Option<Trimmed>,
    /// The verdict.
    pub fitness: Fitness,
}

impl Judgement {
    /// Judges a meter on the current of a step.
    ///
    /// `measures` belong to the step's current scaled to its nominal; `rated` is the lamps' rated
    /// current.
    ///
    /// # Formula
    /// shown = law(i); trimmed true RMS = nominal · nominal / shown; set-band = edge · shown / nominal
    ///
    /// # Errors
    /// As [`LampLaw::effect`]: never because of what the meter shows.
    pub fn new(
        meter: &Meter,
        step: &Step,
        measures: &Measures,
        lamp: &LampLaw,
        rated: TrueRms,
    ) -> Result<Self> {
        let truth = step.nominal;
        let nominal_a = truth.a();
        let shown = meter.detector.read(measures);
        let gain = shown.shown_a() / nominal_a;
        // Less than a millionth of the nominal is nothing on any display.
        let seen = gain > 1e-6;
        let trimmed = if seen {
            let true_rms = TrueRms::stated_a(nominal_a / gain);
            Some(Trimmed {
                true_rms,
                placement: step.band.place(true_rms),
                band_share_ratio: step.band.share_used_ratio(nominal_a, true_rms),
                effect: lamp.effect(true_rms, truth, rated)?,
            })
        } else {
            None
        };
        let fitness = match trimmed.map(|trimmed| (trimmed.placement, trimmed.band_share_ratio)) {
            None => Fitness::Blind,
            Some((Placement::Low | Placement::High, _)) => Fitness::NotFit,
            Some((Placement::Inside, Some(share))) if share <= Fitness::TIGHT_FROM_RATIO => {
                Fitness::Fit
            }
            Some((Placement::Inside, _)) => Fitness::Tight,
        };
        Ok(Self {
            meter: meter.clone(),
            shown,
            error_a: shown.error_a(truth),
            error_ratio: gain - 1.0,
            set_band_a: seen.then(|| (gain * step.band.low_a(), gain * step.band.high_a())),
            trimmed,
            fitness,
        })
    }
}
