//! Operating point and resistances together.

use crate::circuit::Symmetry;
use crate::error::{Error, ErrorKind, Result};
use crate::regulator::{OperatingPoint, ReachSide, Regulated, ResonantRegulator, SolveOptions};

use super::{FieldAnswer, FieldLoad, FieldPoint, FieldReach};

/// Secondary currents agree with the resistances they were solved with to this part. Of the output
/// current, whose RMS is held, a lamp's current is nearly all: a part of 1e-8 of a resistance
/// moves shape factors by less than that.
const AGREEMENT_RATIO: f64 = 1e-8;
const ROUNDS: usize = 40;

impl FieldLoad {
    /// Finds the operating point at a target current with every lamp and electronic fixture at the
    /// resistance of its own RMS current.
    ///
    /// Give the point of a neighbouring step or field as `start` where there is one: it is several
    /// times quicker. The lamps' currents differ from the loop's by what the cores take, and only
    /// where a magnetising branch or a bypass makes the share depend on the waveform is more than one
    /// solution needed; each starts from the one before.
    ///
    /// # Errors
    /// As [`ResonantRegulator::hold`]; `NotConverged` when resistances and currents do not settle.
    pub fn hold(
        &self,
        regulator: &ResonantRegulator,
        target_a: f64,
        start: Option<&FieldPoint>,
        options: &SolveOptions,
    ) -> Result<FieldAnswer> {
        let options = self.options(options);
        let answer = self.settle(regulator, target_a, start, &options);
        match &answer {
            Err(error) if matches!(error.kind(), ErrorKind::NotConverged { .. }) => {
                match self.climb(regulator, target_a, &options) {
                    Some(climbed) => Ok(climbed),
                    None => answer,
                }
            }
            _ => answer,
        }
    }

    /// The slow and safe way, for fields near the end of the regulator's reach: from a current that
    /// is held up to the target, each point from the one before. Where the current cannot be raised
    /// any more although the reactor is all but switched off, the last one held is the limit.
    fn climb(
        &self,
        regulator: &ResonantRegulator,
        target_a: f64,
        options: &SolveOptions,
    ) -> Option<FieldAnswer> {
        const FIRST_RATIOS: [f64; 3] = [0.7, 0.5, 0.3];
        const SMALLEST_RATIO: f64 = 1e-3;
        const ALL_BUT_OFF_RAD: f64 = 165.0 * std::f64::consts::PI / 180.0;
        let mut quick = *options;
        quick.shooting.attempts = 0;
        let (mut ratio, mut last) = FIRST_RATIOS.into_iter().find_map(|ratio| {
            let answer = self.settle(regulator, ratio * target_a, None, options).ok()?;
            Some((ratio, answer.held()?))
        })?;
        let mut step = 0.1;
        while ratio < 1.0 {
            let next = f64::min(1.0, ratio + step);
            match self.settle(regulator, next * target_a, Some(&last), &quick) {
                Ok(FieldAnswer::Held(point)) => (ratio, last) = (next, *point),
                // Beyond a current that lies below the target: beyond the target as well.
                Ok(FieldAnswer::OutOfReach(reach)) if reach.side == ReachSide::AboveHighest => {
                    return Some(FieldAnswer::OutOfReach(Box::new(FieldReach {
                        target_a,
                        ..*reach
                    })));
                }
                _ if step > SMALLEST_RATIO => step *= 0.5,
                _ if last.delay_rad() > ALL_BUT_OFF_RAD => {
                    return Some(FieldAnswer::OutOfReach(Box::new(FieldReach {
                        target_a,
                        limit_a: last.operating.sensed_a(),
                        side: ReachSide::AboveHighest,
                        nearest: last,
                    })));
                }
                _ => return None,
            }
        }
        Some(FieldAnswer::Held(Box::new(last)))
    }

    /// Operating points and resistances in turn until they agree.
    fn settle(
        &self,
        regulator: &ResonantRegulator,
        target_a: f64,
        start: Option<&FieldPoint>,
        options: &SolveOptions,
    ) -> Result<FieldAnswer> {
        let rated_w = regulator.values.rated_power_w;
        let mut load = self.clone();
        load.assume(target_a, start);
        let mut last: Option<OperatingPoint> = None;
        let mut worst = f64::INFINITY;
        for round in 0..ROUNDS {
            let warm = last.as_ref().or_else(|| start.map(|point| &point.operating));
            let operating = match regulator.hold(&load, target_a, warm, options)? {
                Regulated::Held(point) => *point,
                Regulated::OutOfReach(reach) => {
                    let nearest = FieldPoint::new(load, reach.nearest, rated_w, round + 1)?;
                    return Ok(FieldAnswer::OutOfReach(Box::new(FieldReach {
                        target_a,
                        limit_a: reach.limit_a,
                        side: reach.side,
                        nearest,
                    })));
                }
            };
            let found = load.secondary_currents(&operating)?;
            worst = load.take_over(&found);
            if worst <= AGREEMENT_RATIO {
                let point = FieldPoint::new(load, operating, rated_w, round + 1)?;
                return Ok(FieldAnswer::Held(Box::new(point)));
            }
            last = Some(operating);
        }
        Err(Error::new(ErrorKind::NotConverged {
            stage: "lamp resistances and their currents".to_owned(),
            iterations: ROUNDS,
            residual: worst,
            worst: "the class of fixtures whose current still moves".to_owned(),
        })
        .with_hint("a field whose electronics are bypassed may have no steady state"))
    }

    fn options(&self, options: &SolveOptions) -> SolveOptions {
        let mut options = *options;
        if !self.is_half_wave_symmetric() {
            options.shooting.symmetry = Symmetry::FullPeriod;
        }
        options
    }

    /// First currents: by resistances alone, or as the shares were at the start.
    fn assume(&mut self, target_a: f64, start: Option<&FieldPoint>) {
        let bypass_ohm = self.bypassed.as_ref().map(|(_, resistance_ohm)| *resistance_ohm);
        let before = start.map(|point| {
            let loop_rms_a = point.operating.output_rms_a();
            let classes = point.load.chains().flat_map(|chain| &chain.lit);
            classes.map(|class| class.secondary_rms_a / loop_rms_a).collect::<Vec<_>>()
        });
        let classes: usize = self.chains().map(|chain| chain.lit.len()).sum();
        let before = before.filter(|shares| shares.len() == classes);
        let mut shares = before.into_iter().flatten();
        for (number, chain) in self.chains_mut().enumerate() {
            let chain_rms_a = match (number, bypass_ohm) {
                (1, Some(short_ohm)) => {
                    target_a * short_ohm / (short_ohm + chain.load_ohm(target_a))
                }
                _ => target_a,
            };
            for class in &mut chain.lit {
                class.secondary_rms_a = match shares.next() {
                    Some(share) if class.magnetised || number == 1 => share * target_a,
                    _ => class.secondary_at(chain_rms_a),
                };
            }
        }
    }

    /// RMS currents in the secondaries of the lit classes, in the order of the chains.
    fn secondary_currents(&self, operating: &OperatingPoint) -> Result<Vec<f64>> {
        const SAMPLES: usize = 720;
        let network = operating.circuit.network();
        let branch = |name: &str| {
            network.find(name).ok_or_else(|| {
                Error::inconsistent(format!("the network has no branch called \"{name}\""))
            })
        };
        let mut chosen = Vec::new();
        for (number, chain) in self.chains().enumerate() {
            if number > 0 {
                chosen.extend(chain.wire(network));
            }
            for class in chain.lit.iter().filter(|class| class.magnetised) {
                chosen.push(branch(&class.name)?);
            }
        }
        let mut rms = if chosen.is_empty() {
            Vec::new()
        } else {
            operating.solution.chosen_branches(&operating.circuit, &chosen, SAMPLES)?
        }
        .into_iter()
        .map(|trace| rms(&trace.current_a));
        let mut currents = Vec::new();
        for (number, chain) in self.chains().enumerate() {
            let chain_rms_a = match number {
                0 => operating.output_rms_a(),
                _ => rms.next().unwrap_or(0.0),
            };
            for class in &chain.lit {
                currents.push(if class.magnetised {
                    class.turns_ratio() * rms.next().unwrap_or(0.0)
                } else {
                    class.secondary_at(chain_rms_a)
                });
            }
        }
        Ok(currents)
    }

    /// Makes the found currents those of the resistances; returns the largest relative move.
    ///
    /// Behind a bypass a resistance decides its own current, so the move is shortened: with
    /// R ∝ I^q the plain move would overshoot by up to 1 + q.
    fn take_over(&mut self, found: &[f64]) -> f64 {
        const SHORTENED: f64 = 0.55;
        let mut found = found.iter();
        let mut worst = 0.0_f64;
        for (number, chain) in self.chains_mut().enumerate() {
            for class in &mut chain.lit {
                let Some(found_a) = found.next() else { continue };
                let ratio = found_a / class.secondary_rms_a;
                worst = worst.max((ratio - 1.0).abs());
                let exponent = if number == 0 { 1.0 } else { SHORTENED };
                class.secondary_rms_a *= ratio.powf(exponent);
            }
        }
        worst
    }
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|x| x * x).sum::<f64>() / values.len().max(1) as f64).sqrt()
}
