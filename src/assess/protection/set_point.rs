use crate::error::{Error, Result};
use crate::regulator::protection::TrialBench;
use crate::regulator::{Band, Regulated, ResistiveLoad, SolveOptions};
use crate::waveform::{Coupling, TrueRms, Waveform};

/// The set-point of an overcurrent stage, with the current that flows when it is tried.
#[derive(Clone, Debug)]
pub struct SetPoint {
    /// The stage, by its place from 0.
    pub stage: usize,
    /// The set-point.
    pub set: TrueRms,
    /// Where it has to lie: above the top step's band, below the current at which the times are asked
    /// for; `None` when there is no such current or nothing between the two.
    pub room: Option<Band>,
    /// The current on the bench's load, scaled to the set-point.
    pub current: Waveform,
    /// The regulator's highest current on that load, where the set-point lies above it: the shape is
    /// then that of the highest current.
    pub highest_rms_a: Option<f64>,
}

impl SetPoint {
    /// Every stage's set-point on a bench; `band_top_a` is the upper edge of the brightest step.
    ///
    /// # Errors
    /// `Inconsistent` for a set-point inside the band of the brightest step: it would act in service;
    /// otherwise as [`crate::regulator::ResonantRegulator::hold`].
    pub fn of(bench: &TrialBench<'_>, band_top_a: f64) -> Result<Vec<Self>> {
        let values = &bench.regulator.values;
        let rated_a = values.rated_current_rms_a;
        let load = ResistiveLoad::new(bench.load_ratio * values.rated_resistance_ohm())?;
        let stages = bench.protection.stages.iter().enumerate();
        let point = |(place, stage): (usize, &crate::regulator::protection::OvercurrentStage)| {
            let set_a = stage.pickup_ratio * rated_a;
            if set_a <= band_top_a {
                return Err(Error::inconsistent(format!(
                    "overcurrent stage {} picks up at {set_a:.3} A, within the band of the brightest \
                     step, which ends at {band_top_a:.3} A",
                    place + 1
                ))
                .with_hint("it would switch off a circuit in order: raise the pick-up"));
            }
            let answer = bench.regulator.hold(&load, set_a, None, &SolveOptions::default())?;
            let (output, highest_rms_a) = match answer {
                Regulated::Held(point) => (point.output, None),
                Regulated::OutOfReach(reach) => (reach.nearest.output, Some(reach.limit_a)),
            };
            let tried_a = stage.tried.as_ref().map(|(ratio, _)| ratio * rated_a);
            Ok(Self {
                stage: place,
                set: TrueRms::stated_a(set_a),
                room: tried_a.and_then(|tried_a| Band::new(band_top_a, tried_a).ok()),
                current: output.from_rising_zero().scaled_to_rms(set_a, Coupling::Dc)?,
                highest_rms_a,
            })
        };
        stages.map(point).collect()
    }
}
