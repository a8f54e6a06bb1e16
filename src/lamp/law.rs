use crate::cited::{Cited, Evidence, Source};
use crate::error::{Bounds, Error, Result};
use crate::waveform::TrueRms;

use super::{LampEffect, LifeChange};

/// Power laws of a filament lamp in voltage, turned into laws in current.
///
/// # Formula
/// light = r^(e_light / e_current), life = r^(e_life / e_current), r = I / I_ref
///
/// # Validity
/// Credible to about ±10 % in voltage (from memory), that is 0.944 to 1.054 in current, around the
/// rated current of the lamp. Light is given as a rough number up to twice that range in voltage
/// (our own choice) and not at all beyond. Halogen lamps at low current do not follow the life law.
///
/// # Source
/// Exponents: Fink & Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8, as
/// quoted in an encyclopaedia article on lamp rerating; light and life are given there as ranges,
/// in which 3.4 and −13 are our choice.
#[derive(Clone, Debug, PartialEq)]
pub struct LampLaw {
    /// Luminous intensity against voltage.
    pub light_exponent: Cited<f64>,
    /// Life against voltage; negative.
    pub life_exponent: Cited<f64>,
    /// Current against voltage.
    pub current_exponent: Cited<f64>,
    /// Half-width of the credible range in voltage.
    pub credible_voltage_ratio: Cited<f64>,
}

const HANDBOOK: &str = "Fink & Beaty, Standard Handbook for Electrical Engineers, 11th ed.";
const RANGE: Source =
    Source::known("range in which the lamp power laws hold", "", Evidence::Memory);

impl Default for LampLaw {
    fn default() -> Self {
        let quoted = |value, place| Cited {
            value,
            source: Source::known(HANDBOOK, place, Evidence::Quoted),
        };
        Self {
            light_exponent: quoted(3.4, "p. 22-8, our choice within the quoted range 3.4 to 3.5"),
            life_exponent: quoted(-13.0, "p. 22-8, our choice within the quoted range -12 to -16"),
            current_exponent: quoted(0.55, "p. 22-8"),
            credible_voltage_ratio: Cited { value: 0.10, source: RANGE },
        }
    }
}

impl LampLaw {
    /// Exponent of the current: near zero the laws in current would have no meaning.
    pub const CURRENT_EXPONENT: Bounds = Bounds::new("lamp current exponent", "", 0.05, 10.0);
    /// How far beyond the credible range in voltage light is still given as a rough number. Our own
    /// choice: at 1.1055 of the current, the edge, the law says 1.86 times the light.
    const ROUGH_RANGES: f64 = 2.0;
    /// A true RMS current that heats a lamp.
    const CURRENT_A: Bounds = Bounds::new("lamp current", "A", 0.0, f64::INFINITY);

    /// What a current does to a lamp, against the same lamp at the reference current.
    ///
    /// `rated` is the lamp's rated current: the life law is credible only around it, while the
    /// light law is used locally around any reference (relative intensities of the steps, which are
    /// known here from memory only, imply exponents of 5.8 to 6.7 in current, against 6.18 here).
    ///
    /// # Errors
    /// `OutOfRange` for a negative current or an exponent without meaning; `Inconsistent` for a zero
    /// reference. A current far beyond the law is no error: its effect is said in words.
    pub fn effect(&self, now: TrueRms, reference: TrueRms, rated: TrueRms) -> Result<LampEffect> {
        Self::CURRENT_EXPONENT.check(self.current_exponent.value)?;
        Self::CURRENT_A.check(now.a())?;
        Self::CURRENT_A.check(reference.a())?;
        let ratio = now
            .ratio_to(reference)
            .ok_or_else(|| Error::inconsistent("the reference current of the lamp is zero"))?;
        let (rough_low, rough_high) = self.current_ratio(Self::ROUGH_RANGES);
        let light_ratio = (ratio >= rough_low && ratio <= rough_high)
            .then(|| ratio.powf(self.light_exponent.value / self.current_exponent.value));
        let (low, high) = self.credible_current_ratio();
        let credible = |value: f64| value >= low && value <= high;
        let at_rated = |current: TrueRms| current.ratio_to(rated).is_some_and(credible);
        let below = |current: TrueRms| current.ratio_to(rated).is_some_and(|share| share < low);
        let life = if at_rated(now) && at_rated(reference) {
            LifeChange::Ratio(ratio.powf(self.life_exponent.value / self.current_exponent.value))
        } else if below(now) && below(reference) {
            LifeChange::NotGoverning
        } else if ratio > 1.0 {
            LifeChange::MuchShorter
        } else {
            LifeChange::MuchLonger
        };
        Ok(LampEffect { light_ratio, light_credible: credible(ratio), life })
    }

    /// The credible range as a ratio of currents.
    #[must_use]
    pub fn credible_current_ratio(&self) -> (f64, f64) {
        self.current_ratio(1.0)
    }

    /// So many times the credible range in voltage, as a ratio of currents.
    fn current_ratio(&self, ranges: f64) -> (f64, f64) {
        let half = ranges * self.credible_voltage_ratio.value;
        let exponent = self.current_exponent.value;
        ((1.0 - half).max(0.0).powf(exponent), (1.0 + half).powf(exponent))
    }
}
