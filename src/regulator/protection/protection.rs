use crate::cited::{Evidence, Source};
use crate::error::{Bounds, Error, Result};

use super::{
    OpenCircuit, OvercurrentStage, ProtectionLaw, ResetRule, SteadyRise, TimeLimit, TripCause,
};

/// The protection of a regulator's output as data.
#[derive(Clone, Debug, PartialEq)]
pub struct Protection {
    /// What its detector takes for the current.
    pub law: ProtectionLaw,
    /// Length of the detector's window in half cycles of the supply.
    pub window_half_cycles: usize,
    /// What a timer does when the current falls again.
    pub reset: ResetRule,
    /// Overcurrent stages, the lowest pick-up first.
    pub stages: Vec<OvercurrentStage>,
    /// Watch for an open loop.
    pub open_circuit: Option<OpenCircuit>,
}

impl Default for Protection {
    /// Two overcurrent stages and a watch for an open loop.
    ///
    /// # Source
    /// Pick-ups, delays and window are ours, no source, chosen to meet the limits. Limits: overcurrent
    /// from memory, not verified; open circuit as printed in UFC 3-535-01 (2005), 14-7.1.
    fn default() -> Self {
        let memory = |what| Source::known(what, "publication not known", Evidence::Memory);
        Self {
            law: ProtectionLaw::TrueRms,
            window_half_cycles: 2,
            reset: ResetRule::AtOnce,
            stages: vec![
                OvercurrentStage {
                    pickup_ratio: 1.03,
                    delay_s: 3.8,
                    tried: Some((
                        1.05,
                        TimeLimit {
                            shortest_s: Some(3.0),
                            longest_s: Some(5.0),
                            source: memory("trip in 3 to 5 s at 105 % of rated current"),
                        },
                    )),
                    tried_within_ratio: None,
                },
                OvercurrentStage {
                    pickup_ratio: 1.15,
                    delay_s: 0.4,
                    tried: Some((
                        1.25,
                        TimeLimit {
                            shortest_s: None,
                            longest_s: Some(1.0),
                            source: memory("trip in less than 1 s at 125 % of rated current"),
                        },
                    )),
                    tried_within_ratio: None,
                },
            ],
            open_circuit: Some(OpenCircuit {
                below_ratio: 0.15,
                delay_s: 1.0,
                limit: Some(TimeLimit {
                    shortest_s: None,
                    longest_s: Some(3.0),
                    source: Source::known(
                        "UFC 3-535-01 (17 November 2005)",
                        "14-7.1, acceptance test, energise once",
                        Evidence::Printed,
                    ),
                }),
            }),
        }
    }
}

impl Protection {
    /// Length of the window.
    pub const WINDOW_HALF_CYCLES: Bounds =
        Bounds::new("window of the protection's detector", "half cycles", 1.0, 200.0);
    /// Most stages.
    pub const STAGES: Bounds = Bounds::new("overcurrent stages", "", 0.0, 8.0);

    /// Refuses a protection that makes no sense.
    ///
    /// # Errors
    /// `OutOfRange` or `Inconsistent`, with the stage named; `Inconsistent` for a protection that
    /// watches nothing, or stages that are not in rising order.
    pub fn check(&self) -> Result<()> {
        Self::WINDOW_HALF_CYCLES.check(self.window_half_cycles as f64)?;
        Self::STAGES.check(self.stages.len() as f64)?;
        for (place, stage) in self.stages.iter().enumerate() {
            stage
                .check()
                .map_err(|error| error.with_context(format!("overcurrent stage {}", place + 1)))?;
        }
        if self.stages.windows(2).any(|pair| pair[0].pickup_ratio >= pair[1].pickup_ratio) {
            return Err(Error::inconsistent("the overcurrent stages are not in rising order")
                .with_hint("the lowest pick-up comes first"));
        }
        if let Some(open) = &self.open_circuit {
            open.check().map_err(|error| error.with_context("open circuit"))?;
        }
        if self.stages.is_empty() && self.open_circuit.is_none() {
            return Err(Error::inconsistent("the protection watches nothing"));
        }
        Ok(())
    }

    /// How long a steady overcurrent takes to be switched off, and by which stage; `None` when no
    /// stage ever acts.
    ///
    /// # Formula
    /// The detector picks up at the k-th half cycle after the rise (see [`SteadyRise`]) and acts at the
    /// first one at which the delay is over: t = (k + ⌈delay/h⌉) h, h half a period; the earliest
    /// stage counts.
    ///
    /// # Validity
    /// For a current that jumps from one steady value to another at the beginning of a half cycle, its
    /// shape unchanged. A real regulator takes some cycles to get there: [`super::TrialBench`] runs
    /// that.
    #[must_use]
    pub fn time_to_trip_s(&self, rise: &SteadyRise, frequency_hz: f64) -> Option<(TripCause, f64)> {
        let half_s = 0.5 / frequency_hz;
        let time_s = |stage: &OvercurrentStage| {
            let seen =
                rise.half_cycles_to(self.law, stage.pickup_ratio, self.window_half_cycles)?;
            let waited = (stage.delay_s / half_s - ROUNDING).ceil().max(0.0);
            Some((seen as f64 + waited) * half_s)
        };
        let times = self.stages.iter().enumerate();
        times
            .filter_map(|(place, stage)| Some((TripCause::Stage(place), time_s(stage)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Multiples of rated current for a curve: twenty from 1.02 to 1.40, and those at which a stage is
    /// tried.
    #[must_use]
    pub fn curve_ratios(&self) -> Vec<f64> {
        let mut ratios: Vec<f64> = (1..=20).map(|k| f64::from(100 + 2 * k) / 100.0).collect();
        ratios.extend(self.stages.iter().filter_map(|stage| Some(stage.tried.as_ref()?.0)));
        ratios.sort_by(f64::total_cmp);
        ratios.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        ratios
    }

    /// The longest a trial has to be watched: every delay and every limit, and two seconds for the
    /// current to get there.
    #[must_use]
    pub fn watch_s(&self) -> f64 {
        let limits = self.stages.iter().filter_map(|stage| stage.tried.as_ref()?.1.longest_s);
        let delays = self.stages.iter().map(|stage| stage.delay_s);
        let open = self.open_circuit.iter().flat_map(|open| {
            [Some(open.delay_s), open.limit.as_ref().and_then(|limit| limit.longest_s)]
        });
        2.0 + limits.chain(delays).chain(open.flatten()).fold(0.0, f64::max)
    }
}

/// Part of a half cycle that is rounding: a delay that is a whole number of them is not one more.
pub(super) const ROUNDING: f64 = 1e-6;
