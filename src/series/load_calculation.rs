use crate::error::{Bounds, Error, Result};

use super::{CableRun, Draw, LoadItem, LoadSum};

/// The load of a series circuit as the trade calculates it: watts and volt-amperes added up.
///
/// Everything is counted as if it worked: lamps out and faults do not lighten the load a regulator is
/// chosen for. What flows in a given state of the field is a matter of solving the network.
///
/// # Formula
/// S = Σ n S_i + Σ n L_i + I² R_cable, S_i of electronics = P_i / power factor
///
/// # Validity
/// Watts and volt-amperes add as numbers: an upper bound of the true sum of phasors, for sine
/// currents. Distortion is not in it.
///
/// # Source
/// UFC 3-535-01 (17 November 2005), figure 15-4; the same figures are a test.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadCalculation {
    /// Current for which the equipment's figures hold: the rated one.
    pub current_rms_a: f64,
    /// The equipment.
    pub items: Vec<LoadItem>,
    /// The cable.
    pub cable: Vec<CableRun>,
}

impl LoadCalculation {
    /// Rated current of a loop.
    pub const CURRENT_A: Bounds = Bounds::new("rated loop current", "A", 0.5, 100.0);
    /// Power of one piece of equipment.
    pub const DRAW_W: Bounds = Bounds::new("power of one piece of equipment", "W", 1e-3, 1e5);
    /// Power factor of electronics.
    pub const POWER_FACTOR: Bounds = Bounds::new("power factor", "", 0.05, 1.0);

    /// Adds everything up.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds, with the item named.
    pub fn sum(&self) -> Result<LoadSum> {
        Self::CURRENT_A.check(self.current_rms_a)?;
        for item in &self.items {
            Self::check(item).map_err(|error| error.with_context(item.name.clone()))?;
        }
        let of = |wanted: fn(&Draw) -> bool| -> f64 {
            // The sum of nothing is a negative zero, and would be shown as one.
            let all = self.items.iter().filter(|item| wanted(&item.draw));
            0.0 + all.map(LoadItem::apparent_va).sum::<f64>()
        };
        let lamp_w = of(|draw| draw.is_lamp());
        let electronic_va = of(|draw| !draw.is_lamp());
        let loss_w = 0.0 + self.items.iter().map(LoadItem::loss_w).sum::<f64>();
        let cable_ohm = 0.0 + self.cable.iter().map(CableRun::resistance_ohm).sum::<f64>();
        let cable_w = self.current_rms_a * self.current_rms_a * cable_ohm;
        let drawn_w: Option<f64> = self
            .items
            .iter()
            .map(|item| item.draw.active_w().map(|each_w| f64::from(item.count) * each_w))
            .sum();
        Ok(LoadSum {
            current_rms_a: self.current_rms_a,
            lamp_w,
            loss_w,
            cable_ohm,
            cable_w,
            electronic_va,
            active_w: drawn_w.map(|drawn_w| drawn_w + loss_w + cable_w),
            reactive_var: self.reactive_var().map(|reactive_var| 0.0 + reactive_var),
        })
    }

    /// Reactive power of the electronics, as if all of them lagged; `None` where a power factor is
    /// not known.
    fn reactive_var(&self) -> Option<f64> {
        self.items
            .iter()
            .map(|item| {
                let (apparent_va, active_w) = (item.draw.apparent_va(), item.draw.active_w()?);
                let square = (apparent_va * apparent_va - active_w * active_w).max(0.0);
                Some(f64::from(item.count) * square.sqrt())
            })
            .sum()
    }

    fn check(item: &LoadItem) -> Result<()> {
        match item.draw {
            Draw::Lamp { power_w } => Self::DRAW_W.check(power_w)?,
            Draw::Electronic { active_w, power_factor } => {
                Self::POWER_FACTOR.check(power_factor)?;
                Self::DRAW_W.check(active_w)?
            }
            Draw::Apparent { apparent_va } => {
                Bounds { unit: "VA", ..Self::DRAW_W }.check(apparent_va)?
            }
        };
        let loss_w = item.loss_w();
        if !loss_w.is_finite() || loss_w < 0.0 {
            return Err(Error::inconsistent("the loss of a transformer is below zero"));
        }
        Ok(())
    }
}
