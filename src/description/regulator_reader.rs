use std::f64::consts::{SQRT_2, TAU};

use toml::Spanned;

use crate::circuit::SenseLaw;
use crate::error::{Bounds, Error, Result};
use crate::regulator::{ControlLoop, ResonantRegulator, ResonantValues, Supply, ValuesOrigin};

use super::RegulatorSetup;
use super::quantity::{Ohms, Radians};
use super::raw::{
    RawControl, RawRegulator, RawRegulatorValues, RawSense, RawSupply, RawValuesOrigin,
};
use super::reader::Reader;

/// Reactances and resistances of a regulator's branches.
pub(super) const REACTANCE_OHM: Bounds = Bounds::new("reactance or resistance", "ohm", 1e-4, 1e6);
/// Voltages of a regulator.
pub(super) const VOLTAGE_V: Bounds = Bounds::new("voltage", "V", 1.0, 1e5);
/// Magnetising currents.
pub(super) const IRON_A: Bounds = Bounds::new("magnetising current", "A", 0.0, 100.0);
/// Exponent of the saturation law; odd.
pub(super) const EXPONENT: Bounds = Bounds::new("iron exponent", "", 3.0, 31.0);

impl Reader<'_> {
    pub(super) fn regulator(
        &self,
        raw: &RawRegulator,
        supply: &RawSupply,
        rated_hz: f64,
        top_step_a: f64,
    ) -> Result<RegulatorSetup> {
        let power_w = self.bounded(&raw.rating, |w| w.0, ResonantValues::POWER_W)?;
        let current_a = match &raw.current {
            Some(current) => self.bounded(current, |a| a.0, ResonantValues::CURRENT_A)?,
            None => top_step_a,
        };
        let mut values = ResonantValues::generic(power_w, current_a, rated_hz)?;
        self.override_values(&mut values, &raw.values, rated_hz)?;
        values.origin = match raw.values_are.as_ref().map(Spanned::get_ref) {
            None | Some(RawValuesOrigin::Generic) => ValuesOrigin::Generic,
            Some(RawValuesOrigin::Fitted) => ValuesOrigin::Fitted,
            Some(RawValuesOrigin::Measured) => ValuesOrigin::Measured,
        };
        let load = |field| {
            self.bounded(field, |r: &super::quantity::Ratio| r.0, RegulatorSetup::LOAD_RATIO)
        };
        let control = self.control(&raw.control)?;
        Ok(RegulatorSetup {
            control,
            protection: self.protection(raw.protection.as_ref())?,
            regulator: ResonantRegulator { values, supply: self.supply(supply, rated_hz)? },
            load_ratio: load(&raw.load)?,
            recheck_load_ratio: raw.recheck_load.as_ref().map(load).transpose()?,
            sense: match raw.sense.as_ref().map(Spanned::get_ref) {
                None | Some(RawSense::TrueRms) => SenseLaw::TrueRms,
                Some(RawSense::Average) => SenseLaw::RectifiedMean,
            },
        })
    }

    fn control(&self, raw: &RawControl) -> Result<ControlLoop> {
        let mut control = ControlLoop::default();
        let read = |field: &Option<Spanned<Radians>>, slot: &mut f64, bounds: Bounds| {
            if let Some(field) = field {
                *slot = self.bounded(field, |rad| rad.0, bounds)?;
            }
            Ok(())
        };
        let delay = ResonantRegulator::DELAY_RAD;
        read(&raw.proportional, &mut control.proportional_rad, ControlLoop::GAIN_RAD)?;
        read(&raw.integral, &mut control.integral_rad, ControlLoop::GAIN_RAD)?;
        read(&raw.delay_min, &mut control.delay_min_rad, delay)?;
        read(&raw.delay_max, &mut control.delay_max_rad, delay)?;
        if let Some(field) = &raw.delay_max
            && control.delay_min_rad >= control.delay_max_rad
        {
            let error = Error::inconsistent("the smallest delay is not below the largest");
            return Err(self.at(field, error));
        }
        Ok(control)
    }

    fn supply(&self, raw: &RawSupply, rated_hz: f64) -> Result<Supply> {
        let mut supply = Supply::nominal();
        if let Some(voltage) = &raw.voltage {
            supply.voltage_ratio = self.bounded(voltage, |r| r.0, Supply::VOLTAGE_RATIO)?;
        }
        if let Some(actual) = &raw.actual_frequency {
            supply.frequency_ratio =
                self.bounded(actual, |hz| hz.0 / rated_hz, Supply::FREQUENCY_RATIO)?;
        }
        for harmonic in &raw.harmonic {
            let ratio = self.bounded(&harmonic.ratio, |r| r.0, Supply::HARMONIC_RATIO)?;
            let phase_rad = harmonic.phase.get_ref().0;
            supply = supply
                .with_harmonic(*harmonic.order.get_ref(), ratio, phase_rad)
                .map_err(|error| self.at(&harmonic.order, error))?;
        }
        Ok(supply)
    }

    fn override_values(
        &self,
        values: &mut ResonantValues,
        raw: &RawRegulatorValues,
        rated_hz: f64,
    ) -> Result<()> {
        let omega = TAU * rated_hz;
        let ohm = |field: &Option<Spanned<Ohms>>| {
            field.as_ref().map(|field| self.bounded(field, |x| x.0, REACTANCE_OHM)).transpose()
        };
        let set = |slot: &mut f64, value: Option<f64>| {
            if let Some(value) = value {
                *slot = value;
            }
        };
        set(&mut values.input_inductance_h, ohm(&raw.input_reactance)?.map(|x| x / omega));
        set(&mut values.input_resistance_ohm, ohm(&raw.input_resistance)?);
        set(&mut values.capacitance_f, ohm(&raw.capacitor_reactance)?.map(|x| 1.0 / (omega * x)));
        set(&mut values.control_inductance_h, ohm(&raw.control_reactance)?.map(|x| x / omega));
        set(&mut values.control_resistance_ohm, ohm(&raw.control_resistance)?);
        set(&mut values.output_inductance_h, ohm(&raw.output_reactance)?.map(|x| x / omega));
        if let Some(source) = &raw.source {
            values.source_rms_v = self.bounded(source, |v| v.0, VOLTAGE_V)?;
        }
        if let Some(knee) = &raw.iron_knee {
            values.iron_knee_wb = self.bounded(knee, |v| v.0, VOLTAGE_V)? * SQRT_2 / omega;
        }
        if let Some(linear) = &raw.iron_linear {
            values.iron_linear_a = self.bounded(linear, |a| a.0, IRON_A)?;
        }
        if let Some(power) = &raw.iron_power {
            values.iron_power_a = self.bounded(power, |a| a.0, IRON_A)?;
        }
        if let Some(exponent) = &raw.iron_exponent {
            let value = self.bounded(exponent, |n| f64::from(*n), EXPONENT)? as u32;
            if value.is_multiple_of(2) {
                let error = Error::malformed("an odd iron exponent", value.to_string());
                return Err(self.at(exponent, error));
            }
            values.iron_exponent = value;
        }
        Ok(())
    }
}
