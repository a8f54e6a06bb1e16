//! When devices are fired: firings that wait, and those that follow the supply.

use crate::circuit::taylor::combine;
use crate::circuit::{BranchId, Crossing, Element, GateReference, GateRule};
use crate::error::Result;

use super::{Flow, Pending};

impl Flow<'_> {
    pub(super) fn gate(&self, switch: usize) -> Option<&GateRule> {
        self.circuit.network().get(self.circuit.switches[switch]).element.gate()
    }

    pub(super) fn delay_of(&self, switch: usize) -> f64 {
        let own = self.gate(switch).map_or(0.0, |rule| rule.delay_rad);
        self.delay_rad.unwrap_or(own)
    }

    /// The supply crosses zero at k π/ω, rising for even k.
    pub(super) fn first_supply_crossing(&self, switch: usize) -> i64 {
        let omega = self.circuit.network().omega_rad_per_s();
        let phase = omega * self.time_s - self.delay_of(switch);
        (phase / std::f64::consts::PI - 1e-9).ceil() as i64
    }

    pub(super) fn supply_firing_s(&self, switch: usize) -> Option<f64> {
        let rule = self.gate(switch)?;
        if rule.reference != GateReference::Supply {
            return None;
        }
        let first = self.supply_next[switch];
        let skip = match rule.crossing {
            Crossing::Either => 0,
            Crossing::Rising => first.rem_euclid(2),
            Crossing::Falling => 1 - first.rem_euclid(2),
        };
        let phase = (first + skip) as f64 * std::f64::consts::PI + self.delay_of(switch);
        Some(phase / self.circuit.network().omega_rad_per_s())
    }

    /// Fires every device whose time has come.
    pub(super) fn fire_due(&mut self, slack_s: f64) -> Result<()> {
        while let Some(at) = self.pending.iter().position(|p| p.time_s <= self.time_s + slack_s) {
            let pending = self.pending.remove(at);
            self.event_row.copy_from_slice(&pending.row);
            self.spare_rows.push(pending.row);
            self.fire(pending.switch)?;
        }
        for switch in 0..self.supply_next.len() {
            while let Some(time_s) = self.supply_firing_s(switch)
                && time_s <= self.time_s + slack_s
            {
                let omega = self.circuit.network().omega_rad_per_s();
                let crossing = (time_s * omega - self.delay_of(switch)) / std::f64::consts::PI;
                self.supply_next[switch] = crossing.round() as i64 + 1;
                self.event_row.fill(0.0);
                if let Some(last) = self.event_row.last_mut() {
                    *last = 1.0 / omega;
                }
                self.fire(switch)?;
            }
        }
        Ok(())
    }

    pub(super) fn fire(&mut self, switch: usize) -> Result<()> {
        if self.on >> switch & 1 == 1 {
            return Ok(());
        }
        self.fill_inputs();
        let branch = self.circuit.switches[switch];
        let voltage = &self.circuit.topology(self.on)?.voltage[branch.0];
        let forward = combine(voltage, &self.inputs) > 0.0;
        let thyristor = matches!(self.circuit.network().get(branch).element, Element::Thyristor(_));
        if thyristor && !forward {
            return Ok(());
        }
        self.switch_to(self.on | 1 << switch)
    }

    pub(super) fn schedule(&mut self, watched: BranchId, rising: bool) -> Result<()> {
        let omega = self.circuit.network().omega_rad_per_s();
        for switch in 0..self.circuit.switches.len() {
            let Some(rule) = self.gate(switch) else { continue };
            let watches = rule.reference == GateReference::BranchVoltage(watched);
            if !watches || !rule.wants(rising) {
                continue;
            }
            if self.pending.len() == Self::PENDING {
                return Err(self.stuck("too many firings wait"));
            }
            let mut row = self.spare_rows.pop().unwrap_or_default();
            row.clone_from(&self.event_row);
            if let Some(last) = row.last_mut() {
                *last += 1.0 / omega;
            }
            let time_s = self.time_s + self.delay_of(switch) / omega;
            let at = self.pending.iter().take_while(|p| p.time_s <= time_s).count();
            self.pending.insert(at, Pending { switch, time_s, row });
        }
        Ok(())
    }
}
