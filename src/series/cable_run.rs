use crate::error::{Bounds, Error, Result};

/// One length of cable of the loop, at its own temperature.
///
/// Every length counts once: of a two-core run, each core is a run of its own.
///
/// # Formula
/// R = r_ref [1 + α (T − T_ref)] l
#[derive(Clone, Debug, PartialEq)]
pub struct CableRun {
    /// Name used in messages and tables.
    pub name: String,
    /// Resistance per length at the reference temperature.
    pub resistance_ohm_per_m: f64,
    /// The temperature that resistance is given at.
    pub reference_degc: f64,
    /// Temperature coefficient of the resistance at the reference temperature.
    pub temperature_coefficient_per_k: f64,
    /// Length of conductor.
    pub length_m: f64,
    /// Temperature of the conductor.
    pub temperature_degc: f64,
    /// Inductance per length; `None` where it is not known and left out.
    pub inductance_h_per_m: Option<f64>,
}

impl CableRun {
    /// Resistance per length at the reference temperature.
    pub const RESISTANCE_OHM_PER_M: Bounds =
        Bounds::new("resistance of the conductor", "ohm/m", 1e-6, 1.0);
    /// Temperatures of a conductor, and those a table may refer to.
    pub const TEMPERATURE_DEGC: Bounds = Bounds::new("conductor temperature", "degC", -80.0, 250.0);
    /// Temperature coefficient.
    pub const COEFFICIENT_PER_K: Bounds =
        Bounds::new("temperature coefficient of the conductor", "1/K", 0.0, 0.02);
    /// Length of a run; a run without length is left out of the list.
    pub const LENGTH_M: Bounds = Bounds::new("cable length", "m", 1e-3, 1e6);
    /// Inductance per length.
    pub const INDUCTANCE_H_PER_M: Bounds =
        Bounds::new("inductance of the conductor", "H/m", 0.0, 1e-4);

    /// Checks every value; the message names the run.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds; `Inconsistent` where the law gives no resistance at
    /// that temperature.
    pub fn check(&self) -> Result<()> {
        self.check_values().map_err(|error| error.with_context(format!("cable \"{}\"", self.name)))
    }

    fn check_values(&self) -> Result<()> {
        Self::RESISTANCE_OHM_PER_M.check(self.resistance_ohm_per_m)?;
        Self::TEMPERATURE_DEGC.check(self.reference_degc)?;
        Self::COEFFICIENT_PER_K.check(self.temperature_coefficient_per_k)?;
        Self::LENGTH_M.check(self.length_m)?;
        Self::TEMPERATURE_DEGC.check(self.temperature_degc)?;
        if let Some(inductance_h_per_m) = self.inductance_h_per_m {
            Self::INDUCTANCE_H_PER_M.check(inductance_h_per_m)?;
        }
        if self.resistance_ohm() <= 0.0 {
            return Err(Error::inconsistent(
                "the temperature law leaves no resistance at this temperature",
            ));
        }
        Ok(())
    }

    /// Resistance of the run at its temperature.
    #[must_use]
    pub fn resistance_ohm(&self) -> f64 {
        let warmer_k = self.temperature_degc - self.reference_degc;
        self.resistance_ohm_per_m
            * (1.0 + self.temperature_coefficient_per_k * warmer_k)
            * self.length_m
    }

    /// Inductance of the run; `None` where none is given.
    #[must_use]
    pub fn inductance_h(&self) -> Option<f64> {
        self.inductance_h_per_m.map(|per_m| per_m * self.length_m)
    }
}
