use crate::circuit::BranchTrace;
use crate::error::Result;

use super::OperatingPoint;

/// RMS and peak of a branch's current and voltage over the period.
#[derive(Clone, Debug, PartialEq)]
pub struct BranchSummary {
    /// The branch's name.
    pub name: String,
    /// True RMS of its current.
    pub current_rms_a: f64,
    /// Largest magnitude of its current.
    pub current_peak_a: f64,
    /// True RMS of its voltage.
    pub voltage_rms_v: f64,
    /// Largest magnitude of its voltage.
    pub voltage_peak_v: f64,
}

/// What the output terminals deliver.
///
/// # Formula
/// apparent power S = U I (true RMS both), active power P = 1/T ∫ u i dt, power factor = P / S
///
/// # Source
/// The usual definitions for distorted quantities (IEEE 1459; from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutputPower {
    /// True RMS of the output voltage.
    pub voltage_rms_v: f64,
    /// Largest magnitude of the output voltage.
    pub voltage_peak_v: f64,
    /// Apparent power.
    pub apparent_va: f64,
    /// Active power.
    pub active_w: f64,
    /// Active over apparent power; `None` when nothing is delivered.
    pub power_factor: Option<f64>,
}

impl OperatingPoint {
    /// Every branch of the network in figures.
    ///
    /// # Errors
    /// As [`Self::traces`].
    pub fn branch_summaries(&self) -> Result<Vec<BranchSummary>> {
        let samples = self.output.samples_a().len();
        Ok(self.traces(samples)?.iter().map(summary).collect())
    }

    /// Voltage and power at the output terminals.
    ///
    /// # Errors
    /// As [`Self::output_voltage_v`].
    pub fn output_power(&self) -> Result<OutputPower> {
        let current_a = self.output.samples_a();
        let voltage_v = self.output_voltage_v(current_a.len())?;
        let (voltage_rms_v, voltage_peak_v) = rms_and_peak(&voltage_v);
        let product: f64 = voltage_v.iter().zip(current_a).map(|(u, i)| u * i).sum();
        let active_w = product / current_a.len() as f64;
        let apparent_va = voltage_rms_v * self.output_rms_a();
        Ok(OutputPower {
            voltage_rms_v,
            voltage_peak_v,
            apparent_va,
            active_w,
            power_factor: (apparent_va > 0.0).then(|| active_w / apparent_va),
        })
    }
}

fn summary(trace: &BranchTrace) -> BranchSummary {
    let (current_rms_a, current_peak_a) = rms_and_peak(&trace.current_a);
    let (voltage_rms_v, voltage_peak_v) = rms_and_peak(&trace.voltage_v);
    BranchSummary {
        name: trace.name.clone(),
        current_rms_a,
        current_peak_a,
        voltage_rms_v,
        voltage_peak_v,
    }
}

fn rms_and_peak(values: &[f64]) -> (f64, f64) {
    let square: f64 = values.iter().map(|x| x * x).sum();
    let peak = values.iter().fold(0.0_f64, |top, x| top.max(x.abs()));
    ((square / values.len().max(1) as f64).sqrt(), peak)
}
