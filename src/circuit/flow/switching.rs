//! From one combination of switches to another: diodes, constraints, and the jump of derivatives.

use crate::circuit::taylor::combine;
use crate::circuit::{BranchId, Circuit, Element};
use crate::error::Result;

use super::Flow;

impl Flow<'_> {
    /// The inputs of all matrices at the present instant.
    pub(super) fn fill_inputs(&mut self) {
        let n = self.state.len();
        let circuit = self.circuit;
        let omega = circuit.network().omega_rad_per_s();
        self.inputs[..n].copy_from_slice(&self.state);
        for (at, core) in circuit.cores.iter().enumerate() {
            self.inputs[n + at] = core.magnet.current_a(self.state[core.state]);
        }
        for (at, (_, source)) in circuit.sources.iter().enumerate() {
            self.inputs[n + circuit.cores.len() + at] = source.value(omega, self.time_s);
        }
        for (scale, input) in self.input_scale.iter_mut().zip(&self.inputs) {
            *scale = scale.max(input.abs());
        }
        for (scale, peak) in self.input_scale.iter_mut().zip(&self.scale) {
            *scale = scale.max(*peak);
        }
    }

    pub(super) fn switch_to(&mut self, wanted: u32) -> Result<()> {
        let circuit = self.circuit;
        let (before, jump) = (self.on, self.columns > 0);
        let sensed_before = self.sensed_rate(before)?;
        for (rate, row) in self.rate_before.iter_mut().zip(&circuit.topology(before)?.derivative) {
            *rate = combine(row, &self.inputs);
        }
        let settled = self.settle_diodes(wanted)?;
        if jump {
            let p = self.columns;
            for (state, row) in circuit.topology(settled)?.derivative.iter().enumerate() {
                let step = self.rate_before[state] - combine(row, &self.inputs);
                if step != 0.0 {
                    let x = &mut self.derivatives[state * p..(state + 1) * p];
                    x.iter_mut().zip(&self.event_row).for_each(|(x, t)| *x += step * t);
                }
            }
            let step = sensed_before - self.sensed_rate(settled)?;
            if let Some(sense) = self.sense.as_mut() {
                sense.row.iter_mut().zip(&self.event_row).for_each(|(s, t)| *s += step * t);
            }
        }
        self.enter(settled)
    }

    /// Enters a combination of switches: constraints hold exactly from here on.
    pub(super) fn enter(&mut self, on: u32) -> Result<()> {
        let changed = self.on ^ on;
        for switch in 0..self.switch_side.len() {
            if changed >> switch & 1 == 1 {
                self.switch_side[switch] = 0.0;
                // A thyristor conducts one way only.
                let branch = self.circuit.switches[switch];
                if matches!(self.circuit.network().get(branch).element, Element::Thyristor(_)) {
                    self.switch_side[switch] = 1.0;
                }
            }
        }
        self.on = on;
        let Some(projection) = &self.circuit.topology(on)?.projection else { return Ok(()) };
        let (n, p) = (self.state.len(), self.columns);
        for row in 0..n {
            let line = &projection[row * n..(row + 1) * n];
            self.scratch[row] = line.iter().zip(&self.state).map(|(a, x)| a * x).sum();
        }
        self.state.copy_from_slice(&self.scratch[..n]);
        if p > 0 {
            self.scratch.fill(0.0);
            for row in 0..n {
                for (column, a) in projection[row * n..(row + 1) * n].iter().enumerate() {
                    let from = &self.derivatives[column * p..(column + 1) * p];
                    let to = &mut self.scratch[row * p..(row + 1) * p];
                    to.iter_mut().zip(from).for_each(|(to, from)| *to += a * from);
                }
            }
            self.derivatives.copy_from_slice(&self.scratch);
        }
        Ok(())
    }

    /// Turns diodes on and off until none is forward biased while off or backward while on.
    pub(super) fn settle_diodes(&self, wanted: u32) -> Result<u32> {
        let circuit = self.circuit;
        let is_diode = |branch: &BranchId| circuit.network().get(*branch).element == Element::Diode;
        let mut on = wanted;
        if self.on & !wanted != 0 {
            // What has opened may have been the only path of other diodes: they open with it.
            let topology = circuit.topology(wanted)?;
            for (switch, branch) in circuit.switches.iter().enumerate() {
                if is_diode(branch) && topology.current[branch.0].is_empty() {
                    on &= !(1 << switch);
                }
            }
        }
        for _ in 0..4 * Circuit::SWITCHES {
            let topology = circuit.topology(on)?;
            let wrong = circuit.switches.iter().enumerate().find(|(switch, branch)| {
                if !is_diode(branch) {
                    return false;
                }
                let closed = on >> switch & 1 == 1;
                let row =
                    if closed { &topology.current[branch.0] } else { &topology.voltage[branch.0] };
                let value = combine(row, &self.inputs);
                let size: f64 = row.iter().map(|(c, a)| (a * self.input_scale[*c]).abs()).sum();
                if closed { value < -1e-9 * size } else { value > 1e-9 * size }
            });
            match wrong {
                Some((switch, _)) => on ^= 1 << switch,
                None => return Ok(on),
            }
        }
        Err(self.stuck("diodes find no consistent state"))
    }
}
