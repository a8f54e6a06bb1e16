//! What is watched while time runs, and where within a step it happens.

use crate::circuit::topology::Row;
use crate::circuit::{Element, SenseLaw};
use crate::error::Result;
use crate::numeric::series;

use super::{Event, Flow};

impl Flow<'_> {
    /// What is watched in the present switch state: (event, side it is on, row or flux limit).
    pub(super) fn first_event(&mut self, tau: &mut f64) -> Option<Event> {
        let circuit = self.circuit;
        let topology = circuit.topology(self.on).ok()?;
        let mut first = None;
        // Closed switches first: where one opens at the very instant another could close, it must
        // open before, or the two short-circuit the supply.
        let closed_first = (0..circuit.switches.len()).map(|switch| (switch, true));
        let then_open = (0..circuit.switches.len()).map(|switch| (switch, false));
        for (switch, closed) in closed_first.chain(then_open) {
            if (self.on >> switch & 1 == 1) != closed {
                continue;
            }
            let branch = circuit.switches[switch];
            let diode = circuit.network().get(branch).element == Element::Diode;
            let (row, side) = match (closed, diode) {
                (true, true) => (&topology.current[branch.0], Some(1.0)),
                (true, false) => (&topology.current[branch.0], None),
                (false, true) => (&topology.voltage[branch.0], Some(-1.0)),
                (false, false) => continue,
            };
            self.series.combination(row, &mut self.polynomial);
            let side = side.unwrap_or_else(|| {
                if self.switch_side[switch] == 0.0 {
                    self.switch_side[switch] = self.side(*tau);
                }
                self.switch_side[switch]
            });
            self.earlier((side, self.noise(row)), Event::Switch(switch), tau, &mut first);
        }
        for at in 0..circuit.watched.len() {
            self.series.combination(&topology.voltage[circuit.watched[at].0], &mut self.polynomial);
            if self.watched_side[at] == 0.0 {
                self.watched_side[at] = self.side(*tau);
            }
            self.earlier((self.watched_side[at], 0.0), Event::Watched(at), tau, &mut first);
        }
        if let Some(sense) = &self.sense
            && sense.law == SenseLaw::RectifiedMean
        {
            self.series.combination(&topology.current[sense.branch.0], &mut self.polynomial);
            let mut side = sense.side;
            if side == 0.0 {
                side = self.side(*tau);
            }
            if let Some(sense) = self.sense.as_mut() {
                sense.side = side;
            }
            self.earlier((side, 0.0), Event::Sense, tau, &mut first);
        }
        for at in 0..circuit.cores.len() {
            let core = &circuit.cores[at];
            let line = core.magnet.segment(self.pieces[at]);
            if line.slope_a_per_wb == 0.0 {
                continue;
            }
            for (limit_wb, side, by) in [(line.high_wb, -1.0, 1), (line.low_wb, 1.0, -1)] {
                if limit_wb.is_finite() {
                    for k in 0..self.polynomial.len() {
                        self.polynomial[k] = self.series.state_coefficient(k, core.state);
                    }
                    self.polynomial[0] -= limit_wb;
                    self.earlier((side, 0.0), Event::Piece(at, by), tau, &mut first);
                }
            }
        }
        first
    }

    /// The side of zero a quantity is on, or leaves to when it starts at zero.
    ///
    /// At a zero the first term that is more than rounding tells. A value a little later would not:
    /// a reactor fired just before the voltage's zero has its current back at zero by then.
    pub(super) fn side(&self, tau: f64) -> f64 {
        let c = &self.polynomial;
        let size = c.iter().rev().fold(0.0, |sum, c| sum * tau + c.abs());
        let mut power = 1.0;
        for c in c {
            let term = c * power;
            if term.abs() > 1e-9 * size {
                return term.signum();
            }
            power *= tau;
        }
        0.0
    }

    /// Rounding in a combination of inputs as large as they have been.
    pub(super) fn noise(&self, row: &Row) -> f64 {
        1e-13 * row.iter().map(|(c, a)| (a * self.input_scale[*c]).abs()).sum::<f64>()
    }

    /// Takes the event when the quantity leaves its side before `tau`.
    ///
    /// Values within `noise` of zero count as zero: a diode that has just opened may be left with
    /// a forward voltage of rounding, which is no reason to close it again.
    pub(super) fn earlier(
        &self,
        (side, noise): (f64, f64),
        event: Event,
        tau: &mut f64,
        first: &mut Option<Event>,
    ) {
        if side == 0.0 {
            return;
        }
        let c = &self.polynomial;
        for quarter in 1..=4 {
            let at = *tau * f64::from(quarter) / 4.0;
            if series::value(c, at) * side < -noise {
                let before = *tau * f64::from(quarter - 1) / 4.0;
                *tau = series::crossing(c, side, before, at);
                *first = Some(event);
                return;
            }
        }
    }

    pub(super) fn take_event(&mut self, event: Event, tau: f64) -> Result<()> {
        let circuit = self.circuit;
        let topology = circuit.topology(self.on)?;
        match event {
            Event::Switch(switch) => {
                let branch = circuit.switches[switch];
                let closed = self.on >> switch & 1 == 1;
                let row =
                    if closed { &topology.current[branch.0] } else { &topology.voltage[branch.0] };
                self.time_of_event(row, tau);
                self.switch_to(self.on ^ (1 << switch))?;
            }
            Event::Watched(at) => {
                let watched = circuit.watched[at];
                self.time_of_event(&topology.voltage[watched.0], tau);
                let rising = self.watched_side[at] < 0.0;
                self.watched_side[at] = -self.watched_side[at];
                self.schedule(watched, rising)?;
            }
            Event::Sense => {
                if let Some(sense) = self.sense.as_mut() {
                    sense.side = -sense.side;
                }
            }
            // The curve is continuous where its pieces meet: nothing jumps.
            Event::Piece(at, by) => self.pieces[at] += by,
        }
        Ok(())
    }

    /// ∂t_e/∂z into the event row, for g = row · (x, f, e) at the end of the step.
    pub(super) fn time_of_event(&mut self, row: &Row, tau: f64) {
        if self.columns == 0 {
            return;
        }
        self.series.combination(row, &mut self.polynomial);
        let (_, slope) = series::value_and_slope(&self.polynomial, tau);
        let rate = slope / self.series.unit_s;
        let mut power = 1.0;
        for weight in &mut self.weights {
            *weight = power;
            power *= tau;
        }
        self.series.weighted_derivative(row, &self.weights, &mut self.event_row);
        let factor = if rate == 0.0 { 0.0 } else { -1.0 / rate };
        self.event_row.iter_mut().for_each(|v| *v *= factor);
    }
}
