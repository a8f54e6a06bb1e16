use crate::error::{Bounds, Result};
use crate::lamp::{LampLaw, LifeChange};
use crate::waveform::TrueRms;

use super::{BurningHours, Consequence, FoundCurrent};

/// What the currents found meant for light and lamps over a year of burning.
///
/// # Formula
/// Share of life used in a year at currents I over hours h: Σ (hⱼ / T) (Iⱼ/I_rated)^k with T the rated
/// life and k = −e_life/e_current; the same with the nominals; their ratio needs no T.
///
/// # Validity
/// Only steps where the life law holds at the current found and at the nominal count: far below the
/// rating, filaments last long anyway. Lamps fail at random around their rated life, so that a year's
/// replacements scatter.
///
/// # Source
/// Lamp laws as in [`LampLaw`]; adding up shares of life is common practice, no source.
#[derive(Clone, Debug, PartialEq)]
pub struct Consequences {
    /// Step by step, in the order given.
    pub steps: Vec<Consequence>,
    /// Share of life used over that at the nominals; `None` where no step that burns has a number.
    pub wear_ratio: Option<f64>,
    /// Lamps of a hundred that are used up in a year at the nominals and at the currents found;
    /// `None` without a rated life.
    pub lamps_per_hundred: Option<(f64, f64)>,
    /// Steps that burn but for which the law says no number.
    pub silent_steps: Vec<u32>,
}

impl Consequences {
    /// Expanded uncertainty of a current found.
    pub const EXPANDED_A: Bounds =
        Bounds::new("expanded uncertainty of the current found", "A", 0.0, 100.0);
    /// Rated life of a lamp.
    pub const RATED_LIFE_H: Bounds = Bounds::new("rated life of a lamp", "h", 1.0, 1e6);

    /// From the currents found.
    ///
    /// `rated` is the lamps' rated current, `rated_life_h` their life at it where somebody knows it.
    ///
    /// # Errors
    /// `OutOfRange` for a rated life or an uncertainty out of bounds; as [`LampLaw::effect`].
    pub fn of(
        found: Vec<FoundCurrent>,
        law: &LampLaw,
        rated: TrueRms,
        hours: &BurningHours,
        rated_life_h: Option<f64>,
    ) -> Result<Self> {
        if let Some(life_h) = rated_life_h {
            Self::RATED_LIFE_H.check(life_h)?;
        }
        let steps: Vec<Consequence> = found
            .into_iter()
            .map(|found| consequence(found, law, rated, hours))
            .collect::<Result<_>>()?;
        let wear = |current: TrueRms| -> Result<Option<f64>> {
            Ok(match law.effect(current, rated, rated)?.life {
                LifeChange::Ratio(life) => Some(1.0 / life),
                _ => None,
            })
        };
        let (mut nominal_h, mut found_h) = (0.0, 0.0);
        let mut silent_steps = Vec::new();
        for step in steps.iter().filter(|step| step.hours > 0.0) {
            let at = &step.found;
            match (wear(at.step.nominal)?, wear(at.true_rms)?) {
                (Some(nominal), Some(found)) => {
                    nominal_h += step.hours * nominal;
                    found_h += step.hours * found;
                }
                _ => silent_steps.push(at.step.number),
            }
        }
        let told = nominal_h > 0.0;
        Ok(Self {
            steps,
            wear_ratio: told.then(|| found_h / nominal_h),
            lamps_per_hundred: rated_life_h
                .filter(|_| told)
                .map(|life_h| (100.0 * nominal_h / life_h, 100.0 * found_h / life_h)),
            silent_steps,
        })
    }
}

fn consequence(
    found: FoundCurrent,
    law: &LampLaw,
    rated: TrueRms,
    hours: &BurningHours,
) -> Result<Consequence> {
    Consequences::EXPANDED_A.check(found.expanded_a)?;
    let nominal = found.step.nominal;
    let effect = law.effect(found.true_rms, nominal, rated)?;
    let at = |offset_a: f64| {
        law.effect(TrueRms::stated_a((found.true_rms.a() + offset_a).max(0.0)), nominal, rated)
    };
    let (low, high) = (at(-found.expanded_a)?, at(found.expanded_a)?);
    let life = |life: LifeChange| match life {
        LifeChange::Ratio(ratio) => Some(ratio),
        _ => None,
    };
    Ok(Consequence {
        placement: found.step.band.place(found.true_rms),
        effect,
        light_range: low.light_ratio.zip(high.light_ratio),
        life_range: life(high.life).zip(life(low.life)),
        hours: hours.of(found.step.number),
        found,
    })
}
