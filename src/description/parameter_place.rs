//! Where the numbers of a description are kept, by their dotted names.

use std::f64::consts::{SQRT_2, TAU};

use crate::error::{Bounds, Error, Result};
use crate::regulator::{ResonantValues, Supply};
use crate::units::Dimension;

use super::field_place::FieldPlace;
use super::regulator_reader::{EXPONENT, IRON_A, REACTANCE_OHM, VOLTAGE_V};
use super::{Description, RegulatorSetup};

/// The place of one number.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ParameterPlace {
    /// A number every regulator has.
    Fixed(usize),
    /// Amplitude of a supply harmonic.
    HarmonicRatio(u32),
    /// Phase of a supply harmonic.
    HarmonicPhase(u32),
    /// A number of the field.
    Field(FieldPlace),
}

/// A number every regulator has.
struct Fixed {
    key: &'static str,
    words: &'static str,
    dimension: Dimension,
    bounds: Bounds,
    get: fn(&RegulatorSetup) -> f64,
    set: fn(&mut RegulatorSetup, f64) -> Result<()>,
}

/// Phase of a supply harmonic.
const PHASE_RAD: Bounds = Bounds::new("phase of a supply harmonic", "rad", -TAU, TAU);
/// Orders a harmonic of the supply may be given.
const ORDERS: std::ops::RangeInclusive<u32> = 2..=60;
/// Orders that are listed although the supply does not have them: what rectifiers draw.
const LISTED_ORDERS: [u32; 4] = [3, 5, 7, 11];

/// A reactance at the rated frequency, kept as an inductance.
macro_rules! reactance {
    ($key:literal, $words:literal, $field:ident) => {
        Fixed {
            key: concat!("regulator.values.", $key),
            words: $words,
            dimension: Dimension::Impedance,
            bounds: REACTANCE_OHM,
            get: |setup| setup.regulator.values.$field * rated_omega(setup),
            set: |setup, x_ohm| {
                setup.regulator.values.$field = x_ohm / rated_omega(setup);
                Ok(())
            },
        }
    };
}

/// A value kept as it is given.
macro_rules! value {
    ($key:literal, $words:literal, $dimension:ident, $bounds:expr, $field:ident) => {
        Fixed {
            key: concat!("regulator.values.", $key),
            words: $words,
            dimension: Dimension::$dimension,
            bounds: $bounds,
            get: |setup| setup.regulator.values.$field,
            set: |setup, value| {
                setup.regulator.values.$field = value;
                Ok(())
            },
        }
    };
}

static FIXED: [Fixed; 16] = [
    Fixed {
        key: "supply.voltage",
        words: "supply voltage",
        dimension: Dimension::Ratio,
        bounds: Supply::VOLTAGE_RATIO,
        get: |setup| setup.regulator.supply.voltage_ratio,
        set: |setup, ratio| {
            setup.regulator.supply.voltage_ratio = ratio;
            Ok(())
        },
    },
    Fixed {
        key: "supply.actual-frequency",
        words: "supply frequency",
        dimension: Dimension::Frequency,
        bounds: Description::FREQUENCY_HZ,
        get: |setup| {
            setup.regulator.supply.frequency_ratio * setup.regulator.values.rated_frequency_hz
        },
        set: |setup, frequency_hz| {
            let ratio = frequency_hz / setup.regulator.values.rated_frequency_hz;
            setup.regulator.supply.frequency_ratio = Supply::FREQUENCY_RATIO.check(ratio)?;
            Ok(())
        },
    },
    Fixed {
        key: "regulator.load",
        words: "load",
        dimension: Dimension::Ratio,
        bounds: RegulatorSetup::LOAD_RATIO,
        get: |setup| setup.load_ratio,
        set: |setup, ratio| {
            setup.load_ratio = ratio;
            Ok(())
        },
    },
    Fixed {
        key: "regulator.rating",
        words: "regulator rating",
        dimension: Dimension::Power,
        bounds: ResonantValues::POWER_W,
        get: |setup| setup.regulator.values.rated_power_w,
        set: |setup, power_w| rescale(setup, |values| values.rated_power_w = power_w),
    },
    Fixed {
        key: "regulator.current",
        words: "regulator rated current",
        dimension: Dimension::Current,
        bounds: ResonantValues::CURRENT_A,
        get: |setup| setup.regulator.values.rated_current_rms_a,
        set: |setup, current_a| rescale(setup, |values| values.rated_current_rms_a = current_a),
    },
    value!("source", "source voltage", Voltage, VOLTAGE_V, source_rms_v),
    reactance!("input-reactance", "input reactor", input_inductance_h),
    value!("input-resistance", "input winding", Impedance, REACTANCE_OHM, input_resistance_ohm),
    Fixed {
        key: "regulator.values.capacitor-reactance",
        words: "capacitor",
        dimension: Dimension::Impedance,
        bounds: REACTANCE_OHM,
        get: |setup| 1.0 / (setup.regulator.values.capacitance_f * rated_omega(setup)),
        set: |setup, x_ohm| {
            setup.regulator.values.capacitance_f = 1.0 / (x_ohm * rated_omega(setup));
            Ok(())
        },
    },
    reactance!("control-reactance", "control reactor", control_inductance_h),
    value!(
        "control-resistance",
        "control winding",
        Impedance,
        REACTANCE_OHM,
        control_resistance_ohm
    ),
    reactance!("output-reactance", "output reactor", output_inductance_h),
    Fixed {
        key: "regulator.values.iron-knee",
        words: "iron knee",
        dimension: Dimension::Voltage,
        bounds: VOLTAGE_V,
        get: |setup| setup.regulator.values.iron_knee_wb * rated_omega(setup) / SQRT_2,
        set: |setup, rms_v| {
            setup.regulator.values.iron_knee_wb = rms_v * SQRT_2 / rated_omega(setup);
            Ok(())
        },
    },
    value!("iron-linear", "iron, linear part", Current, IRON_A, iron_linear_a),
    value!("iron-power", "iron, power part", Current, IRON_A, iron_power_a),
    Fixed {
        key: "regulator.values.iron-exponent",
        words: "iron exponent",
        dimension: Dimension::Ratio,
        bounds: EXPONENT,
        get: |setup| f64::from(setup.regulator.values.iron_exponent),
        set: |setup, exponent| {
            let whole = exponent.round();
            if (exponent - whole).abs() > 1e-9 || !(whole as u32 % 2 == 1) {
                return Err(Error::malformed("an odd iron exponent", exponent.to_string()));
            }
            setup.regulator.values.iron_exponent = whole as u32;
            Ok(())
        },
    },
];

/// Every place of a description, in the order of listings.
pub(super) fn all(description: &Description) -> Vec<ParameterPlace> {
    let Some(setup) = &description.regulator else { return Vec::new() };
    let mut orders: Vec<u32> =
        setup.regulator.supply.harmonics.iter().map(|(order, _, _)| *order).collect();
    orders.extend(LISTED_ORDERS);
    orders.sort_unstable();
    orders.dedup();
    let harmonics = orders
        .into_iter()
        .flat_map(|n| [ParameterPlace::HarmonicRatio(n), ParameterPlace::HarmonicPhase(n)]);
    let field = FieldPlace::all(description).into_iter().map(ParameterPlace::Field);
    (0..FIXED.len()).map(ParameterPlace::Fixed).chain(harmonics).chain(field).collect()
}

impl ParameterPlace {
    pub(super) fn from_key(key: &str) -> Option<Self> {
        if let Some(at) = FIXED.iter().position(|fixed| fixed.key == key) {
            return Some(Self::Fixed(at));
        }
        if let Some(place) = FieldPlace::from_key(key) {
            return Some(Self::Field(place));
        }
        let rest = key.strip_prefix("supply.harmonic.")?;
        let (order, is_phase) = match rest.strip_suffix(".phase") {
            Some(order) => (order, true),
            None => (rest, false),
        };
        let order = order.parse().ok().filter(|order| ORDERS.contains(order))?;
        Some(if is_phase { Self::HarmonicPhase(order) } else { Self::HarmonicRatio(order) })
    }

    pub(super) fn key(&self) -> String {
        match self {
            Self::Fixed(at) => FIXED[*at].key.to_owned(),
            Self::HarmonicRatio(order) => format!("supply.harmonic.{order}"),
            Self::HarmonicPhase(order) => format!("supply.harmonic.{order}.phase"),
            Self::Field(place) => place.key(),
        }
    }

    pub(super) fn words(&self) -> String {
        match self {
            Self::Fixed(at) => FIXED[*at].words.to_owned(),
            Self::HarmonicRatio(order) => format!("supply harmonic {order}"),
            Self::HarmonicPhase(order) => format!("phase of supply harmonic {order}"),
            Self::Field(place) => place.words(),
        }
    }

    pub(super) fn dimension(&self) -> Dimension {
        match self {
            Self::Fixed(at) => FIXED[*at].dimension,
            Self::HarmonicRatio(_) => Dimension::Ratio,
            Self::HarmonicPhase(_) => Dimension::Angle,
            Self::Field(place) => place.dimension(),
        }
    }

    pub(super) fn bounds(&self) -> Bounds {
        match self {
            Self::Fixed(at) => FIXED[*at].bounds,
            Self::HarmonicRatio(_) => Supply::HARMONIC_RATIO,
            Self::HarmonicPhase(_) => PHASE_RAD,
            Self::Field(place) => place.bounds(),
        }
    }

    /// The number there; `None` when the description has no such place.
    pub(super) fn get(&self, description: &Description) -> Option<f64> {
        let setup = description.regulator.as_ref()?;
        let found = |wanted: u32| {
            setup.regulator.supply.harmonics.iter().find(|(order, _, _)| *order == wanted)
        };
        Some(match self {
            Self::Fixed(at) => (FIXED[*at].get)(setup),
            Self::HarmonicRatio(order) => found(*order).map_or(0.0, |(_, ratio, _)| *ratio),
            Self::HarmonicPhase(order) => found(*order).map_or(0.0, |(_, _, phase)| *phase),
            Self::Field(place) => return place.get(description),
        })
    }

    pub(super) fn set(&self, description: &mut Description, value: f64) -> Result<()> {
        if let Self::Field(place) = self {
            return place.set(description, value);
        }
        let setup = description
            .regulator
            .as_mut()
            .ok_or_else(|| Error::inconsistent("the description has no regulator to vary"))?;
        match self {
            Self::Fixed(at) => (FIXED[*at].set)(setup, value),
            Self::HarmonicRatio(order) => {
                harmonic(setup, *order).1 = value;
                Ok(())
            }
            Self::HarmonicPhase(order) => {
                harmonic(setup, *order).2 = value;
                Ok(())
            }
            Self::Field(_) => Ok(()),
        }
    }
}

/// The harmonic of that order; added with a ratio of 0 when the supply does not have it.
fn harmonic(setup: &mut RegulatorSetup, wanted: u32) -> &mut (u32, f64, f64) {
    let harmonics = &mut setup.regulator.supply.harmonics;
    let at = harmonics.iter().position(|(order, _, _)| *order == wanted).unwrap_or_else(|| {
        harmonics.push((wanted, 0.0, 0.0));
        harmonics.len() - 1
    });
    &mut harmonics[at]
}

fn rated_omega(setup: &RegulatorSetup) -> f64 {
    TAU * setup.regulator.values.rated_frequency_hz
}

/// Another rating: every value scaled as the generic one is, so that a value of the user's own keeps
/// its ratio to it.
fn rescale(setup: &mut RegulatorSetup, change: impl Fn(&mut ResonantValues)) -> Result<()> {
    let values = &mut setup.regulator.values;
    let generic = |v: &ResonantValues| {
        ResonantValues::generic(v.rated_power_w, v.rated_current_rms_a, v.rated_frequency_hz)
    };
    let before = generic(values)?;
    change(values);
    let after = generic(values)?;
    let scaled = |slot: &mut f64, before: f64, after: f64| *slot *= after / before;
    scaled(&mut values.source_rms_v, before.source_rms_v, after.source_rms_v);
    scaled(&mut values.input_inductance_h, before.input_inductance_h, after.input_inductance_h);
    scaled(
        &mut values.input_resistance_ohm,
        before.input_resistance_ohm,
        after.input_resistance_ohm,
    );
    scaled(&mut values.capacitance_f, before.capacitance_f, after.capacitance_f);
    scaled(
        &mut values.control_inductance_h,
        before.control_inductance_h,
        after.control_inductance_h,
    );
    scaled(
        &mut values.control_resistance_ohm,
        before.control_resistance_ohm,
        after.control_resistance_ohm,
    );
    scaled(&mut values.output_inductance_h, before.output_inductance_h, after.output_inductance_h);
    scaled(&mut values.iron_linear_a, before.iron_linear_a, after.iron_linear_a);
    scaled(&mut values.iron_power_a, before.iron_power_a, after.iron_power_a);
    scaled(&mut values.iron_knee_wb, before.iron_knee_wb, after.iron_knee_wb);
    Ok(())
}
