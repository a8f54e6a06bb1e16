//! The numbers every regulator and its supply have, by their dotted names.

use std::f64::consts::{SQRT_2, TAU};

use crate::error::{Bounds, Error, Result};
use crate::regulator::{ResonantValues, Supply};
use crate::units::Dimension;

use super::regulator_reader::{EXPONENT, IRON_A, REACTANCE_OHM, VOLTAGE_V};
use super::{Description, RegulatorSetup};

/// A number every regulator has.
pub(super) struct RegulatorNumber {
    pub(super) key: &'static str,
    pub(super) words: &'static str,
    pub(super) dimension: Dimension,
    pub(super) bounds: Bounds,
    pub(super) get: fn(&RegulatorSetup) -> f64,
    pub(super) set: fn(&mut RegulatorSetup, f64) -> Result<()>,
}

/// A reactance at the rated frequency, kept as an inductance.
macro_rules! reactance {
    ($key:literal, $words:literal, $field:ident) => {
        RegulatorNumber {
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
        RegulatorNumber {
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

/// Every number, in the order of listings.
pub(super) static NUMBERS: [RegulatorNumber; 16] = [
    RegulatorNumber {
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
    RegulatorNumber {
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
    RegulatorNumber {
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
    RegulatorNumber {
        key: "regulator.rating",
        words: "regulator rating",
        dimension: Dimension::Power,
        bounds: ResonantValues::POWER_W,
        get: |setup| setup.regulator.values.rated_power_w,
        set: |setup, power_w| rescale(setup, |values| values.rated_power_w = power_w),
    },
    RegulatorNumber {
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
    RegulatorNumber {
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
    RegulatorNumber {
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
    RegulatorNumber {
        key: "regulator.values.iron-exponent",
        words: "iron exponent",
        dimension: Dimension::Ratio,
        bounds: EXPONENT,
        get: |setup| f64::from(setup.regulator.values.iron_exponent),
        set: |setup, exponent| {
            let whole = exponent.round();
            if (exponent - whole).abs() > 1e-9 || (whole as u32).is_multiple_of(2) {
                return Err(Error::malformed("an odd iron exponent", exponent.to_string()));
            }
            setup.regulator.values.iron_exponent = whole as u32;
            Ok(())
        },
    },
];

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
