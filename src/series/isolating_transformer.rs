use std::f64::consts::{SQRT_2, TAU};

use crate::circuit::Magnet;
use crate::error::{Bounds, Error, Result};

/// An isolating transformer; every value but the secondary current is referred to the primary.
///
/// ```text
/// loop--winding, leakage--+-----------+-----------+
///                         |           |           |
///                   magnetising   core loss   secondary
///                         |           |           |
/// loop--------------------+-----------+-----------+
/// ```
///
/// With its secondary loaded the core stays below the knee. With it open the whole loop current
/// goes through core loss and magnetising branch: the core saturates in every half cycle. With it
/// shorted only winding and leakage are left.
///
/// | value | generic | scaled as |
/// |---|---|---|
/// | knee V_k | 60 V RMS for 200 W at 6.6 A | P/I |
/// | a, b, n | 0.15 A, 0.5 A, 9 at 6.6 A | I |
/// | core loss | 150 Ω for 200 W at 6.6 A | P/I² |
/// | winding | 0.06 P/I² | P/I² |
/// | leakage reactance | 0.04 P/I² | P/I² |
///
/// # Source
/// No source: generic values of ours, nobody's transformer, and so is the scaling (the knee at twice
/// the voltage of the rated load). Core and winding take 9 % of 200 W; UFC 3-535-01 Fig. 15-4
/// counts 11 % for a 200 W fixture and 18 % for one of 120 W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IsolatingTransformer {
    /// Rated power.
    pub rated_power_w: f64,
    /// Rated primary current; with the secondary one it is the ratio.
    pub primary_rms_a: f64,
    /// Rated secondary current.
    pub secondary_rms_a: f64,
    /// Frequency at which the knee voltage holds.
    pub rated_frequency_hz: f64,
    /// Knee of the magnetising branch, as a sine voltage at the rated frequency.
    pub knee_rms_v: f64,
    /// Linear part of the magnetising current at the knee, a.
    pub linear_a: f64,
    /// Power part of the magnetising current at the knee, b.
    pub power_a: f64,
    /// Exponent of the power part, n.
    pub exponent: u32,
    /// Resistance in parallel that stands for the core's loss.
    pub core_loss_ohm: f64,
    /// Resistance of both windings.
    pub winding_ohm: f64,
    /// Leakage inductance of both windings.
    pub leakage_h: f64,
}

impl IsolatingTransformer {
    /// Rated power.
    pub const POWER_W: Bounds = Bounds::new("rated transformer power", "W", 1.0, 10_000.0);
    /// Rated currents of both sides.
    pub const CURRENT_A: Bounds = Bounds::new("rated transformer current", "A", 0.1, 100.0);
    /// Frequency at which the knee voltage holds.
    pub const FREQUENCY_HZ: Bounds = Bounds::new("rated frequency", "Hz", 10.0, 1000.0);
    /// Knee voltage.
    pub const KNEE_RMS_V: Bounds = Bounds::new("transformer knee voltage", "V", 0.1, 10_000.0);
    /// Core-loss resistance.
    pub const CORE_LOSS_OHM: Bounds = Bounds::new("core-loss resistance", "ohm", 0.1, 1e6);
    /// Winding resistance; 0 leaves it out.
    pub const WINDING_OHM: Bounds = Bounds::new("winding resistance", "ohm", 0.0, 1e3);
    /// Leakage inductance; 0 leaves it out.
    pub const LEAKAGE_H: Bounds = Bounds::new("leakage inductance", "H", 0.0, 10.0);

    /// The generic transformer of a size.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above.
    ///
    /// # Example
    /// ```
    /// use loopcrest::series::IsolatingTransformer;
    /// let transformer = IsolatingTransformer::generic(200.0, 6.6, 6.6, 60.0).unwrap();
    /// assert!((transformer.knee_rms_v - 60.0).abs() < 1e-9);
    /// assert!((transformer.core_loss_ohm - 150.0).abs() < 1e-9);
    /// ```
    pub fn generic(
        rated_power_w: f64,
        primary_rms_a: f64,
        secondary_rms_a: f64,
        frequency_hz: f64,
    ) -> Result<Self> {
        let power = rated_power_w / 200.0;
        let current = primary_rms_a / 6.6;
        let rated_ohm = rated_power_w / (primary_rms_a * primary_rms_a);
        let transformer = Self {
            rated_power_w,
            primary_rms_a,
            secondary_rms_a,
            rated_frequency_hz: frequency_hz,
            knee_rms_v: 60.0 * power / current,
            linear_a: 0.15 * current,
            power_a: 0.5 * current,
            exponent: 9,
            core_loss_ohm: 150.0 * power / (current * current),
            winding_ohm: 0.06 * rated_ohm,
            leakage_h: 0.04 * rated_ohm / (TAU * frequency_hz),
        };
        transformer.check()?;
        Ok(transformer)
    }

    /// Checks every value.
    ///
    /// # Errors
    /// `OutOfRange` outside the bounds above; `Inconsistent` for a magnetising curve that is none.
    pub fn check(&self) -> Result<()> {
        Self::POWER_W.check(self.rated_power_w)?;
        Self::CURRENT_A.check(self.primary_rms_a)?;
        Self::CURRENT_A.check(self.secondary_rms_a)?;
        Self::FREQUENCY_HZ.check(self.rated_frequency_hz)?;
        Self::KNEE_RMS_V.check(self.knee_rms_v)?;
        Magnet::CURRENT_A.check(self.linear_a)?;
        Magnet::CURRENT_A.check(self.power_a)?;
        Magnet::EXPONENT.check(f64::from(self.exponent))?;
        Self::CORE_LOSS_OHM.check(self.core_loss_ohm)?;
        Self::WINDING_OHM.check(self.winding_ohm)?;
        Self::LEAKAGE_H.check(self.leakage_h)?;
        if self.exponent.is_multiple_of(2) {
            let exponent = self.exponent;
            return Err(Error::inconsistent(format!(
                "the exponent of the magnetising curve is {exponent}, it must be odd"
            )));
        }
        if self.linear_a + self.power_a <= 0.0 {
            return Err(Error::inconsistent("the magnetising curve carries no current"));
        }
        Ok(())
    }

    /// Primary over secondary turns: the secondary current over that of the loop.
    #[must_use]
    pub fn turns_ratio(&self) -> f64 {
        self.secondary_rms_a / self.primary_rms_a
    }

    /// Flux linkage at the knee.
    #[must_use]
    pub fn knee_wb(&self) -> f64 {
        SQRT_2 * self.knee_rms_v / (TAU * self.rated_frequency_hz)
    }

    /// Magnetising branches of so many in series, as one.
    pub(super) fn magnet(&self, count: f64) -> Magnet {
        Magnet::OddPower {
            linear_a: self.linear_a,
            power_a: self.power_a,
            knee_wb: count * self.knee_wb(),
            exponent: self.exponent,
        }
    }
}
