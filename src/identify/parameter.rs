use std::f64::consts::{SQRT_2, TAU};

use crate::error::{Error, Result};
use crate::regulator::{ResonantRegulator, Supply};

/// A value of the resonant source that a fit may move.
///
/// Reactances are at the rated frequency, the knee is the RMS of the sine voltage whose flux peak it
/// is: the words and units of a description.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Parameter {
    /// Source voltage in front of the input reactor, at rated supply voltage.
    Source,
    /// Input reactor.
    InputReactance,
    /// Its winding.
    InputResistance,
    /// Resonant capacitor.
    CapacitorReactance,
    /// Phase-fired reactor.
    ControlReactance,
    /// Its winding.
    ControlResistance,
    /// Output reactor.
    OutputReactance,
    /// Iron branch: linear part of the current at the knee.
    IronLinear,
    /// Iron branch: power part of the current at the knee.
    IronPower,
    /// Iron branch: flux at the knee.
    IronKnee,
    /// Part of a supply harmonic in phase with the fundamental: r cos φ, over the fundamental.
    HarmonicInPhase(u32),
    /// Part of a supply harmonic a quarter of its own period ahead: r sin φ.
    HarmonicAhead(u32),
}

/// A supply harmonic is counted in units of this share of the fundamental: about what public mains
/// carry. Our own choice.
const HARMONIC_UNIT: f64 = 0.05;
/// Both parts of a harmonic at this together stay below what a supply may have.
const LARGEST_PART: f64 = 0.7 * Supply::HARMONIC_RATIO.max;
/// A value may move by this factor from where it started; beyond, it is another machine.
const FARTHEST_RATIO: f64 = 5.0;

impl Parameter {
    /// The keys of all values that stand alone; `supply-harmonic-5` and the like come on top.
    pub const KEYS: [&'static str; 10] = [
        "source",
        "input-reactance",
        "input-resistance",
        "capacitor-reactance",
        "control-reactance",
        "control-resistance",
        "output-reactance",
        "iron-linear",
        "iron-power",
        "iron-knee",
    ];
    const ALONE: [Self; 10] = [
        Self::Source,
        Self::InputReactance,
        Self::InputResistance,
        Self::CapacitorReactance,
        Self::ControlReactance,
        Self::ControlResistance,
        Self::OutputReactance,
        Self::IronLinear,
        Self::IronPower,
        Self::IronKnee,
    ];

    /// The parameters behind a key: one, or the two parts of a supply harmonic.
    ///
    /// # Example
    /// ```
    /// use loopcrest::identify::Parameter;
    /// assert_eq!(Parameter::from_key("iron-knee"), Some(vec![Parameter::IronKnee]));
    /// assert_eq!(Parameter::from_key("supply-harmonic-5").map(|both| both.len()), Some(2));
    /// assert_eq!(Parameter::from_key("supply-harmonic-1"), None);
    /// ```
    #[must_use]
    pub fn from_key(key: &str) -> Option<Vec<Self>> {
        if let Some(order) = key.strip_prefix("supply-harmonic-") {
            let order = order.parse().ok().filter(|order| (2..=60).contains(order))?;
            return Some(vec![Self::HarmonicInPhase(order), Self::HarmonicAhead(order)]);
        }
        let at = Self::KEYS.iter().position(|known| *known == key)?;
        Some(vec![Self::ALONE[at]])
    }

    /// Its key; the two parts of a harmonic have one each.
    #[must_use]
    pub fn key(self) -> String {
        match self {
            Self::HarmonicInPhase(order) => format!("supply-harmonic-{order}-in-phase"),
            Self::HarmonicAhead(order) => format!("supply-harmonic-{order}-ahead"),
            alone => {
                let at = Self::ALONE.iter().position(|known| *known == alone);
                Self::KEYS[at.expect("every other parameter stands alone")].to_owned()
            }
        }
    }

    /// Its unit; empty for a ratio.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Source | Self::IronKnee => "V",
            Self::IronLinear | Self::IronPower => "A",
            Self::HarmonicInPhase(_) | Self::HarmonicAhead(_) => "",
            _ => "ohm",
        }
    }

    /// Its value in a regulator, in [`Self::unit`].
    #[must_use]
    pub fn of(self, regulator: &ResonantRegulator) -> f64 {
        let v = &regulator.values;
        let omega = TAU * v.rated_frequency_hz;
        match self {
            Self::Source => v.source_rms_v,
            Self::InputReactance => omega * v.input_inductance_h,
            Self::InputResistance => v.input_resistance_ohm,
            Self::CapacitorReactance => 1.0 / (omega * v.capacitance_f),
            Self::ControlReactance => omega * v.control_inductance_h,
            Self::ControlResistance => v.control_resistance_ohm,
            Self::OutputReactance => omega * v.output_inductance_h,
            Self::IronLinear => v.iron_linear_a,
            Self::IronPower => v.iron_power_a,
            Self::IronKnee => v.iron_knee_wb * omega / SQRT_2,
            Self::HarmonicInPhase(order) => parts(regulator, order).0,
            Self::HarmonicAhead(order) => parts(regulator, order).1,
        }
    }

    /// Gives a regulator another value, in [`Self::unit`].
    pub fn set(self, regulator: &mut ResonantRegulator, value: f64) {
        let v = &mut regulator.values;
        let omega = TAU * v.rated_frequency_hz;
        match self {
            Self::Source => v.source_rms_v = value,
            Self::InputReactance => v.input_inductance_h = value / omega,
            Self::InputResistance => v.input_resistance_ohm = value,
            Self::CapacitorReactance => v.capacitance_f = 1.0 / (omega * value),
            Self::ControlReactance => v.control_inductance_h = value / omega,
            Self::ControlResistance => v.control_resistance_ohm = value,
            Self::OutputReactance => v.output_inductance_h = value / omega,
            Self::IronLinear => v.iron_linear_a = value,
            Self::IronPower => v.iron_power_a = value,
            Self::IronKnee => v.iron_knee_wb = value * SQRT_2 / omega,
            Self::HarmonicInPhase(order) => {
                let (_, ahead) = parts(regulator, order);
                set_parts(regulator, order, value, ahead);
            }
            Self::HarmonicAhead(order) => {
                let (in_phase, _) = parts(regulator, order);
                set_parts(regulator, order, in_phase, value);
            }
        }
    }

    fn is_harmonic(self) -> bool {
        matches!(self, Self::HarmonicInPhase(_) | Self::HarmonicAhead(_))
    }

    /// Refuses a start from which the value cannot move.
    pub(super) fn check_start(self, start: &ResonantRegulator) -> Result<()> {
        let value = self.of(start);
        if self.is_harmonic() || value > 0.0 {
            return Ok(());
        }
        Err(Error::inconsistent(format!("{} is {value}, so it cannot be free", self.key()))
            .with_hint("give it a value above zero in the description to begin from"))
    }

    /// The value at a place on the scale of the fit.
    pub(super) fn value_at(self, start: f64, place: f64) -> f64 {
        if self.is_harmonic() { start + HARMONIC_UNIT * place } else { start * place.exp() }
    }

    /// Ends of what is looked at on the scale of the fit.
    pub(super) fn range(self, start: f64) -> (f64, f64) {
        if self.is_harmonic() {
            ((-LARGEST_PART - start) / HARMONIC_UNIT, (LARGEST_PART - start) / HARMONIC_UNIT)
        } else {
            (-FARTHEST_RATIO.ln(), FARTHEST_RATIO.ln())
        }
    }

    /// A small uncertainty on the scale of the fit, in the unit of the value.
    pub(super) fn in_unit(self, value: f64, uncertainty: f64) -> f64 {
        uncertainty * if self.is_harmonic() { HARMONIC_UNIT } else { value }
    }
}

/// Parts of a supply harmonic in phase and ahead; a harmonic that stands several times adds up.
fn parts(regulator: &ResonantRegulator, order: u32) -> (f64, f64) {
    let of_order = regulator.supply.harmonics.iter().filter(|(own, _, _)| *own == order);
    of_order.fold((0.0, 0.0), |(in_phase, ahead), (_, ratio, phase_rad)| {
        (in_phase + ratio * phase_rad.cos(), ahead + ratio * phase_rad.sin())
    })
}

fn set_parts(regulator: &mut ResonantRegulator, order: u32, in_phase: f64, ahead: f64) {
    let harmonics = &mut regulator.supply.harmonics;
    harmonics.retain(|(own, _, _)| *own != order);
    harmonics.push((order, in_phase.hypot(ahead), ahead.atan2(in_phase)));
    harmonics.sort_by_key(|(own, _, _)| *own);
}
